"""Published scheduling instances: readers of their files, best values, and a command that tries them."""
