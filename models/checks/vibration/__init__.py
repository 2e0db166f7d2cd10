"""Checks of vibration."""
