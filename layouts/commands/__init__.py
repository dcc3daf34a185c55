"""The commands of the command line, one module a kind of thing that they hand out."""
