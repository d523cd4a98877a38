"""JSON Schemas (draft 2020-12) of the files rigmargin reads and writes, as package data."""
