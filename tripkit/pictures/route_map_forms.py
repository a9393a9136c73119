"""The signs and the style of the route map, as SVG and CSS text.

Every colour is a variable of the page, see `dashboard/card.css`; `ALONE` gives a file of its own
the same ones.
"""

from __future__ import annotations

MOON = '<path d="M1.4 -3.6A3.7 3.7 0 1 0 3.6 1.4A3 3 0 0 1 1.4 -3.6z"/>'
HALVES = (
    '<path class="tk-map-upper" d="M-4.6 0A4.6 4.6 0 0 1 4.6 0z"/>',
    '<path class="tk-map-lower" d="M-4.6 0A4.6 4.6 0 0 0 4.6 0z"/>',
)
ROOF = '<path d="M-8 -0.5L0 -8L8 -0.5V8H-8z"/><path class="tk-map-door" d="M-2.6 8V1.5H2.6V8z"/>'
EAVES = '<path class="tk-map-base" d="M-8 -1L0 -9L8 -1V7.5H-8z"/>'

KEY_SIGNS = {
    "left": '<path class="tk-map-line tk-map-left" stroke-width="2.8" d="M1 0h28"/>',
    "right": (
        '<path class="tk-map-line tk-map-right" stroke-width="5.4" d="M2 0h26"/>'
        '<path class="tk-map-line tk-map-hollow" stroke-width="2.8" d="M2 0h26"/>'
    ),
    "often": '<path class="tk-map-wedge" d="M1 -0.8L29 -3.4V3.4L1 0.8z"/>',
    "halves": "".join(
        f'<g class="tk-map-show" transform="translate({x} 0)"><circle r="4.6"/>{halves}'
        '<circle class="tk-map-ring" r="4.6"/></g>'
        for x, halves in ((6, HALVES[0]), (18, HALVES[1]), (30, "".join(HALVES)))
    ),
    "night": f'<g class="tk-map-night" transform="translate(15 0)"><circle r="6"/>{MOON}</g>',
    "base": f'<g transform="translate(15 0)">{EAVES}</g>',
    "guess": '<path class="tk-map-line tk-map-left tk-map-guess" stroke-width="2.2" d="M1 0h28"/>',
}

STYLE = """
.tk-map{--tk-map-water:#dfe4e0;--tk-map-road:#cdbf9f;--tk-map-lane:#e2d8c2;--tk-map-border:#b9ab90;
max-width:100%;height:auto;display:block}
@media (prefers-color-scheme:dark){.tk-map{--tk-map-water:#171b1e;--tk-map-road:#5d5443;
--tk-map-lane:#3f392f;--tk-map-border:#6a5f4e}}
.tk-map path,.tk-map-edge{fill:none}
.tk-map-sea,.tk-map .tk-map-lake{fill:var(--tk-map-water)}
.tk-map .tk-map-land{fill:var(--tk-paper);stroke:var(--tk-map-border);stroke-width:.8;
stroke-linejoin:round;fill-rule:evenodd}
.tk-map .tk-map-lake{stroke:var(--tk-map-border);stroke-width:.6}
.tk-map-minor{stroke:var(--tk-map-lane);stroke-width:.9}
.tk-map-major{stroke:var(--tk-map-road);stroke-width:1.3;stroke-linejoin:round}
.tk-map-state{stroke:var(--tk-map-border);stroke-width:1;stroke-dasharray:1 3;stroke-linecap:round}
.tk-map-country{stroke:var(--tk-soft);stroke-width:1.1;stroke-dasharray:7 3 1 3}
.tk-map-edge{stroke:var(--tk-strong-rule)}
.tk-map-line{stroke-linejoin:round;stroke-linecap:round}
.tk-map-left{stroke:var(--tk-spot)}
.tk-map-right{stroke:var(--tk-blue)}
.tk-map-hollow{stroke:var(--tk-paper)}
.tk-map .tk-map-guess{stroke-dasharray:6 5;stroke-linecap:butt}
.tk-map .tk-map-wedge{fill:var(--tk-soft)}
.tk-map-show circle{fill:var(--tk-paper);stroke:var(--tk-paper);stroke-width:3}
.tk-map .tk-map-upper{fill:var(--tk-spot)}
.tk-map .tk-map-lower{fill:var(--tk-blue)}
.tk-map-show .tk-map-ring{fill:none;stroke:var(--tk-ink);stroke-width:1.3}
.tk-map .tk-map-base{fill:var(--tk-paper);stroke:var(--tk-ink);stroke-width:1.6;
stroke-linejoin:round}
.tk-map-night circle{fill:var(--tk-paper);stroke:var(--tk-soft);stroke-width:1}
.tk-map-night path{fill:var(--tk-ink)}
.tk-map .tk-map-home path{fill:var(--tk-ink);stroke:var(--tk-paper);stroke-width:1.6;
paint-order:stroke}
.tk-map .tk-map-home .tk-map-door{fill:var(--tk-paper);stroke:none}
.tk-map text{fill:var(--tk-ink);font-family:var(--tk-sans)}
.tk-map .tk-map-label{font-family:var(--tk-serif);stroke:var(--tk-paper);stroke-width:3.4;
stroke-linejoin:round;paint-order:stroke;pointer-events:none}
.tk-map .tk-map-label-home{font-weight:700}
.tk-map .tk-map-label-night{font-style:italic;fill:var(--tk-soft)}
.tk-map .tk-map-area{fill:var(--tk-soft);stroke:var(--tk-paper);stroke-width:3;
stroke-linejoin:round;paint-order:stroke;opacity:.8;pointer-events:none}
.tk-map-bar path{stroke:var(--tk-ink);stroke-width:1.4}
.tk-map-bar text{stroke:var(--tk-paper);stroke-width:3;paint-order:stroke}
.tk-map .tk-map-key{fill:var(--tk-ink)}
.tk-map .tk-map-thanks{fill:var(--tk-soft)}
.tk-map-way{cursor:pointer;outline:none}
.tk-map-way path{stroke:var(--tk-ochre);stroke-opacity:0;stroke-width:13;stroke-linecap:round;
stroke-linejoin:round;pointer-events:stroke}
.tk-map-way circle{fill:none;stroke:none;pointer-events:all}
.tk-map-way:hover path,.tk-map-way:focus path,.tk-map-way.tk-told path{stroke-opacity:.42}
.tk-map-way:focus-visible circle,.tk-map-way.tk-told circle{stroke:var(--tk-ochre);stroke-width:2.4}
@media print{.tk-map-way{display:none}}
"""

# The card's colours for a file that stands alone; the page gives its own.
ALONE = """
.tk-map-alone{--tk-paper:#fbf8f0;--tk-ink:#2a2620;--tk-soft:#5f5648;--tk-strong-rule:#2a2620;
--tk-spot:#7c2d2b;--tk-blue:#1f4e6b;--tk-ochre:#8a5a10;
--tk-serif:"Iowan Old Style","Palatino Linotype",Palatino,Georgia,"Liberation Serif",serif;
--tk-sans:"Gill Sans",Optima,Candara,"Trebuchet MS","Liberation Sans",sans-serif}
@media screen and (prefers-color-scheme:dark){.tk-map-alone{--tk-paper:#26221d;--tk-ink:#ede5d6;
--tk-soft:#b9ae9b;--tk-strong-rule:#b9ae9b;--tk-spot:#d88b7c;--tk-blue:#8fbdd8;--tk-ochre:#d9a954;
background:#1d1a16}}
"""
