"""One rule a file, the file named after the fault: the folder is the list of rules."""
