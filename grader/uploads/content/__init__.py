"""From tables and lines to answers: headings, items, student labels; knows neither files nor formats."""
