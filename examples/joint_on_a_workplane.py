"""A haunched, drawbored mortise and tenon, made with Treenail's methods of Workplane alone.

A post and a rail are modelled as boxes where they stand when the joint is closed. A host that
speaks CQGI (CadQuery's gateway) shows both parts and the pegs, and the literals at the top as
parameters; plain Python prints how the joint closes.
"""

import cadquery as cq

import treenail
from treenail.timber.lengths import parse_length

# mm, or text with its unit.
post_size = 76.0
post_height = 500.0
rail_length = 350.0
rail_width = 110.0
rail_thickness = 44.0
tenon_length = "2 in"
tenon_thickness = "1/2 in"
haunch_width = 25.0
haunch_length = "1/2 in"
lower_shoulder = 12.0
peg = "3/8 in"
draw = "1/16 in"
setback = "3/4 in"
fit = "hand press"

treenail.register()  # attaches the methods; `import treenail` has, unless someone took them off

tenon_width = rail_width - haunch_width - lower_shoulder
middle = (lower_shoulder - haunch_width) / 2.0  # of the tenon, above the rail's middle
pegs = [(0.0, tenon_width / 4.0), (0.0, -tenon_width / 4.0)]  # on the shoulder line

# The post's mortised face is the plane x = 0; the rail comes from the left, its tenon beyond it.
reach = parse_length(tenon_length, unit="mm")
post = cq.Workplane().box(post_size, post_size, post_height).translate((post_size / 2.0, 0, 0))
rail = cq.Workplane().box(rail_length, rail_thickness, rail_width)
rail = rail.translate((reach - rail_length / 2.0, 0, 0))

# A joint's width lies along the workplane's x: turned by 90 degrees, that is up.
rail = (
    rail.faces(">X")
    .workplane(centerOption="CenterOfMass")
    .transformed(rotate=(0, 0, 90))
    .center(middle, 0)
    .tenon(tenon_length, width=tenon_width, thickness=tenon_thickness, haunch=haunch_length)
)
post = (
    post.faces("<X")
    .workplane(centerOption="CenterOfMass")
    .transformed(rotate=(0, 0, 90))
    .center(middle, 0)
    .mortise(
        tenon_width,
        tenon_thickness,
        tenon_length,
        fit=fit,
        haunch=haunch_length,
        haunchWidth=haunch_width,
    )
)

# Both parts get the same sizes from the same line; the tenon's holes come out nearer to it.
rail_side = rail.faces("<Y").workplane(origin=(0, 0, middle)).pushPoints(pegs)
post_side = post.faces("<Y").workplane(origin=(0, 0, middle)).pushPoints(pegs)
rail = rail_side.drawbore(peg, draw, setback, part="tenon", home="+x")
post = post_side.drawbore(peg, draw, setback, part="receiver", home="+x")
driven = post_side.drawbore(
    peg, draw, setback, post_size, part="receiver", home="+x", combine=False
)

if "show_object" in globals():
    show_object(post, name="post", options={"color": (0.72, 0.53, 0.34)})
    show_object(rail, name="rail", options={"color": (0.80, 0.62, 0.42)})
    show_object(driven, name="pegs", options={"color": (0.42, 0.27, 0.16)})
else:
    print(f"post {post.val().Volume():.0f} mm3, rail {rail.val().Volume():.0f} mm3")
    print(f"they overlap by {post.intersect(rail).val().Volume():.3f} mm3", end=" and stand ")
    print(f"{post.val().distance(rail.val()):.3f} mm apart: the shoulder is home")
    holes = [part.faces("%CYLINDER").val().Center().x for part in (post, rail)]
    print(f"the holes lie {holes[0] - holes[1]:.4f} mm apart, which draws the joint tight")
