"""Where places are and how far a lorry drives between them.

`gazetteer` finds a town by its name and the town nearest a point; `estimate` guesses road
kilometres from the straight line; `network` measures them along the main roads, `online_roads`
and `online_places` ask a server, `services` knows those that may be named; `speeds` how fast a
lorry goes; `basemap` the coasts and borders. The scripts of `build` cut the data files down from
development-only packages and are never imported at run time. Lets in geopy, numpy, scipy and,
where the machine allows it, the network.
Never imports a file of a yard, the planner or the page.
"""
