"""A low bench on four staked legs: square legs that lean two ways, turned and reamed to fit.

Run it with Python, or open it in a CQGI host. The shop at Skerry Point and its bench are invented.
"""

from treenail.compose import compose, piece
from treenail.stakes import stake

seat = piece("seat", 900, 290, 48, at=(0, 0, 402), face="down", role="top section")
legs, joints = [], []
for i, (right, back) in enumerate([(-1, -1), (1, -1), (-1, 1), (1, 1)], start=1):
    at = (450 + 320 * right, 145 + 80 * back)
    leg, fitted = stake(f"leg_{i}", seat, at=at, splay=14 * right, rake=11 * back, size=46)
    legs.append(leg)
    joints += fitted
bench = compose("Skerry Point staked bench", [seat, *legs], joints)

if "show_object" in globals():
    for name, solid in bench.solids().placed.items():
        show_object(solid, name=name, options={})
elif __name__ == "__main__":
    report = bench.check()
    for finding in report.findings:
        print(finding.severity, finding.message)
    print("passed" if report.passed else "NOT passed")
