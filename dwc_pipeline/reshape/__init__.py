"""Sheet layouts -> one record a row, every value still as typed. One file a layout."""
