"""The mean of two runs' weights, which generalises at least as well as either (Wortsman et al., ICML 2022): mean.py ONE OTHER OUT [SHARE]

SHARE is the other's, a half unless given. Networks that one of the runs lacks are left out.
"""

import os, sys, torch

one, other, out = sys.argv[1:4]
share = float(sys.argv[4]) if len(sys.argv) > 4 else 0.5
os.makedirs(out, exist_ok=True)
for name in ("finder", "reader", "seam", "film"):
    if all(os.path.exists(f"{run}/{name}.pt") for run in (one, other)):
        a, b = (torch.load(f"{run}/{name}.pt", map_location="cpu") for run in (one, other))
        torch.save({k: torch.lerp(a[k].float(), b[k].float(), share).to(a[k].dtype) for k in a}, f"{out}/{name}.pt")
