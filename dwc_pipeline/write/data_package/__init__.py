"""The Darwin Core Data Package: relational tables beside a descriptor."""
