"""An empty database becomes a shop that can work, in nine short steps; one transaction a step."""
