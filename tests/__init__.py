"""The tests of quotelib; checks/ holds the values from outside, outside.py reads them, strategies.py makes inputs."""
