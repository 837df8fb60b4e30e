"""Pure functions and small value types for air, steel, fire and flow. SI in, SI out."""
