"""What the report page says, section by section: tables in, plain lists and texts out; templates/ set them."""
