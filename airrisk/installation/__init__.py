"""What the user describes: parts, devices, fires, people; reading, checking and writing the system file."""
