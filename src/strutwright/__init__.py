"""strutwright: propeller-shaft struts from one parameter set. The front door: command line, job, errors."""

__version__ = "0.2.0"
