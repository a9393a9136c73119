"""Where places are and how far a lorry drives between them.

`gazetteer` finds a town by its name and the town nearest a point; `estimate` guesses road
kilometres from the straight line; `network` measures them along the main roads. The two `build_*`
scripts cut the data files down from development-only packages and are never imported at run time.
"""
