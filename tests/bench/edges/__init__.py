"""How well lives of edges, and the days they are due, are foretold."""
