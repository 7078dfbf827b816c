"""The irrigation room: emitters, the drip network, its hydraulics, pipe sizes and valves."""
