"""The bench in a browser, and the class."""
