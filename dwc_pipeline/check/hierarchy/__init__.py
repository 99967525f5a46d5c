"""Rules about events that contain each other, and about effort, scope and quantities across their records."""
