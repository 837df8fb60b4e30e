"""The schematic: where parts, lines, valves, devices and names stand in a drawing without scale.

Window and report draw the same layout. Parts stand in layers along the flow; each line is a piece
of its own between them, with its name, valves and devices on it, so that room for them is kept;
what joins the pieces is routed at right angles round everything else.
"""
