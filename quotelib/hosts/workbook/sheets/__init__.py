"""The sheets of the template, a module for each: `fill` puts its contents on the sheet."""
