"""What is asked again and again here is calibrated once in a run."""

from remembered import calibrated_once

__all__ = ["calibrated_once"]
