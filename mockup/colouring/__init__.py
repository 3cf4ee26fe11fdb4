"""Which node faces which, and which ink each takes; sees a graph and numbers only."""
