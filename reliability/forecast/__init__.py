"""Failures to come among the drives in service, with prediction limits, and how forecasts did in the past."""

from reliability.forecast.model import Forecast, forecast

__all__ = ["Forecast", "forecast"]
