"""Tests of the forecasts."""
