"""Tables, cells, verdicts and findings: what every stage shares. Nothing here knows an animal."""
