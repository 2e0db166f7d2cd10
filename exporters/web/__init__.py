"""Report, pictures and plots."""
