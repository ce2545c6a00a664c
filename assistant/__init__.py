"""A voice-guided, hands-free workshop assistant.

Where to start reading: `path/turn.py` (the path of a spoken word), `core/job/engine.py` (what it decides),
`wiring.py` (which adapters stand behind which port).
"""

__version__ = "0.1.0"
