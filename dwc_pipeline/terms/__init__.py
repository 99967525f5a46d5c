"""What the standards and our word lists say."""
