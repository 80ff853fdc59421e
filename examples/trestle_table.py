"""No bench: the end of a trestle table, composed by hand. Sizes are invented.

Run it with Python, or open it in a CQGI host.
"""

from treenail.compose import compose, join, piece

foot = piece("foot", 700, 90, 70, at=(0, 0, 0), grain="back", face="up")
post = piece("post", 650, 120, 60, at=(15, 290, 30), grain="up", face="left")
arm = piece("arm", 600, 90, 70, at=(0, 50, 640), grain="back", face="down")
joints = [
    join(foot, post, shoulders=15, pegs=2),
    join(arm, post, shoulders=15, pegs=2),
]
trestle = compose("trestle", [foot, post, arm], joints)

if "show_object" in globals():
    for name, solid in trestle.solids().placed.items():
        show_object(solid, name=name, options={})
elif __name__ == "__main__":
    report = trestle.check()
    for finding in report.findings:
        print(finding.severity, finding.message)
    print("passed" if report.passed else "NOT passed")
