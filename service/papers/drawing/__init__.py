"""The one adapter to the library that draws PDF, and to the fonts; all of them loaded on first use."""
