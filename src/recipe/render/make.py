"""make.py VARIANT SET OUT [--names a,b] [--shard i/n] [--spp N] [--scale S]"""

import sys, os, time, traceback, argparse, json

a = argparse.ArgumentParser()
a.add_argument("variant")
a.add_argument("set")
a.add_argument("out")
a.add_argument("--names", default="")
a.add_argument("--shard", default="0/1")
a.add_argument("--spp", type=int, default=160)
a.add_argument("--scale", type=float, default=1.0)
a = a.parse_args()
import mitsuba as mi

mi.set_variant(a.variant)
mi.set_log_level(mi.LogLevel.Error)
import drjit as dr, cv2

cv2.setNumThreads(2)
import plan, case

os.makedirs(a.out, exist_ok=True)
i, n = map(int, a.shard.split("/"))
cs = plan.cases(a.set)
if a.names:
    cs = [c for c in cs if c["name"] in a.names.split(",")]
cs = cs[i::n]
for c in cs:
    t = time.time()
    try:
        J, tt = case.render_case(c, a.out, a.spp, a.scale)
        print(
            f"{c['name']} {c['kind']} {tt[0]:.1f}+{tt[1]:.1f}+{tt[2]:.1f}s frac {J['face_pixels_fraction']} vis {J['visible_fraction']} {J['pattern']}",
            flush=True,
        )
    except Exception:
        print("FAIL", c["name"], c["kind"])
        traceback.print_exc()
    if dr.flag is not None:
        dr.flush_malloc_cache()
