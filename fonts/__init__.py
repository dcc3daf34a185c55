"""The fonts that every page is set in; read as package data, see SOURCES.md."""
