"""The door for files: tables read as texts with every fault named, and files replaced whole or not at all."""
