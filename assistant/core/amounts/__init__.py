"""Amounts as people write and say them: read exactly, or refused. Every character of a text is accounted for."""
