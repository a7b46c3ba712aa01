"""Ground floor: words every floor may use; imports the standard library only."""
