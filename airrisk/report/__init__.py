"""Result records to PDF, HTML, CSV and JSON."""
