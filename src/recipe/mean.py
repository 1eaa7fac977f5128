"""The mean of two runs' weights, which generalises at least as well as either (Wortsman et al., ICML 2022): mean.py ONE OTHER OUT"""

import os, sys, torch

one, other, out = sys.argv[1:4]
os.makedirs(out, exist_ok=True)
for name in ("finder", "reader", "seam"):
    a, b = (torch.load(f"{run}/{name}.pt", map_location="cpu") for run in (one, other))
    torch.save({k: ((a[k].float() + b[k].float()) / 2).to(a[k].dtype) for k in a}, f"{out}/{name}.pt")
