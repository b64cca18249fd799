"""Writers: one module a format, each returning bytes or plain data. None of them opens a file."""
