"""One module per part of the generated data: each turns its YAML sources into what run time reads."""
