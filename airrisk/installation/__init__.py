"""What the user describes: parts, lines, valves, devices, fires, people; the system file."""
