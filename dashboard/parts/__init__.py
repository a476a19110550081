"""What the pages are put together from: drawings, forms, and the words for numbers."""
