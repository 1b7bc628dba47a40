"""Tablature as plain geometry: a written line, its verdicts and a time become glyphs in pixels."""
