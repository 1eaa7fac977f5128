"""Trains the film network, which says where compound lies on a face: train_film.py WORLD --seconds S --out DIR [--init DIR] [--part A B]

As train.py, for one question only, with every picture used more often, in other colours. The corners are nearly right, as
the reader settles them. Paint that can be seen beside the face (the painted seam) is learnt as well: its colour is the compound's.
"""

import argparse, math, os, sys, time
import numpy as np, torch
import torch.multiprocessing as mp

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import data, nets, train
from crops import reader_input
from data import batch_of, recoloured
from losses import bce

BESIDE = 0.4  # weight of what lies beside the face


def film_loss(o, b, face, comp, paint):
    """Logits against compound on the face and, where it is known, paint beside it; one mean a picture. Also the share told wrong."""
    on = (face > 0.5).float()
    use = (~b["lost"] & (b["q"] == 0) & ~b["ign"] & ~b["spoilt"] & ~b["alike"]).float()
    each = lambda t: bce(o, t, reduction="none")
    mean = lambda m, w: (m * w).sum((1, 2)) / (w.sum((1, 2)) + 50)
    L = mean(each(comp), on)
    if paint is not None:
        # The border between the two belongs to neither.
        off = (face < 0.05).float()
        L = L + BESIDE * mean(each(paint), off * (1 + 8 * paint))
    p = o.sigmoid() * on
    dice = 1 - (2 * (p * comp).sum((1, 2)) + 50) / (p.sum((1, 2)) + (comp * on).sum((1, 2)) + 50)
    wrong = mean(((o > 0) != (comp > 0.5)).float(), on)
    n = use.sum().clamp(min=1)
    return ((L * 4 + dice) * use).sum() / n, (wrong * use).sum() / n


def step(net, pool, D, a, dev):
    with torch.no_grad():
        taken = [pool.take() for _ in range(a.batches)]
        s = {k: torch.cat([t[k] for t in taken]) for k in taken[0]}
        half = torch.rand(len(s["y"]), device=dev) < 0.5
        s["y"] = torch.where(half.view(-1, 1, 1, 1), recoloured(s["y"], 0.4), s["y"])
        t = batch_of(D, torch.randint(0, len(D["y"]), (a.traced,), device=dev))
        t["y"] = recoloured(t["y"])
        parts = train.degraded([s, t])
        xs, loss_of = [], []
        for b in parts:
            known = ("paint",) if "paint" in b else ()
            x, face, comp, *paint, _, _ = reader_input(b, most=0.07, turn=0.1, maps=("face", "comp", *known))
            xs.append(x), loss_of.append((b, face, comp, paint[0] if paint else None))
    o = train.run(net, torch.cat(xs))[:, 0].split([len(x) for x in xs])
    (l, w), (lt, wt) = [film_loss(m, *t) for m, t in zip(o, loss_of)]
    return (l * 3 + lt) / 4, dict(synth=w, traced=wt)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("world"), ap.add_argument("--seconds", type=float, default=60), ap.add_argument("--out", default=".")
    ap.add_argument("--init", default=""), ap.add_argument("--part", type=float, nargs=2, default=(0, 1), help="of the whole schedule")
    ap.add_argument("--lr", type=float, default=3e-3), ap.add_argument("--synth", type=int, default=32), ap.add_argument("--batches", type=int, default=3)
    ap.add_argument("--traced", type=int, default=24), ap.add_argument("--producers", type=int, default=6), ap.add_argument("--side", type=int, default=data.SIDE)
    ap.add_argument("--times", type=int, default=12), ap.add_argument("--held", type=int, default=60), ap.add_argument("--seed", type=int, default=1)
    a = ap.parse_args()
    dev = "cuda:0" if train.CUDA else "cpu"
    torch.manual_seed(a.seed), np.random.seed(a.seed)
    if train.CUDA:
        torch.backends.cudnn.allow_tf32 = torch.backends.cudnn.benchmark = True
    Q = mp.Queue(12)
    procs = [mp.Process(target=train.produce, args=(Q, i, a.synth, a.side, a.world, a.seed, 10), daemon=True) for i in range(a.producers)]
    [p.start() for p in procs]
    D = data.traced([f"{a.world}/traced.pkl"], dev, lambda k: not data.held_out(k))
    net = nets.Film().to(dev).to(memory_format=torch.channels_last).train()
    opt = torch.optim.AdamW(net.parameters(), lr=a.lr, weight_decay=1e-2, fused=train.CUDA)
    it = 0
    if a.init:
        net.load_state_dict(torch.load(f"{a.init}/film.pt", map_location=dev))
        it = 10_000  # the running mean starts where it ended, and the first steps are small ones
    states = list(net.state_dict().values())
    ema = [v.clone().float() for v in states]
    pool = train.Pool(Q, dev, times=a.times, most=a.held)
    pool.take()
    t0 = last = time.time()
    log, first = [], it
    while (fr := (time.time() - t0) / a.seconds) < 1:
        whole = a.part[0] + (a.part[1] - a.part[0]) * fr
        for g in opt.param_groups:
            g["lr"] = a.lr * min(1, (it + 1) / 300, (it - first + 1) / 50) * (0.5 + 0.5 * math.cos(math.pi * whole)) + 1e-5
        loss, st = step(net, pool, D, a, dev)
        opt.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        opt.step()
        it += 1
        with torch.no_grad():
            torch._foreach_lerp_(ema, [v.float() for v in states], 1 - min(0.999, (1 + it) / (10 + it)))
        if it % 10 == 0:
            log.append([float(loss.detach()), float(st["synth"]), float(st["traced"])])
        if time.time() - last > 30:
            last = time.time()
            print(f"{last - t0:.0f}s step {it} batches {pool.made} loss, wrong ray-cast, traced: {np.mean(log, 0).round(4) if log else ''}", flush=True)
            log = []
    [p.kill() for p in procs]
    os.makedirs(a.out, exist_ok=True)
    sd = net.state_dict()
    torch.save({k: v.to(sd[k].dtype).cpu() for k, v in zip(sd, ema)}, f"{a.out}/film.pt")
    print(f"final: {it} steps, {pool.made * a.synth} ray-cast pictures, {time.time() - t0:.0f} s", flush=True)
    os._exit(0)


if __name__ == "__main__":
    mp.set_start_method("spawn")
    mp.set_sharing_strategy("file_system")
    main()
