"""Our side where no command of `driveyears` does the measured step alone."""
