"""Trains finder, reader and seam network together: ray-cast and path-traced pictures with a jaw, real ones without.

train.py WORLD --seconds S --out DIR [--onnx DIR | --init DIR] [--lr LR]
WORLD is a folder made by world.py. With two cards one makes the pictures and the other trains.
"""

import argparse, math, os, queue, sys, time
import numpy as np, torch
import torch.multiprocessing as mp

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import data, losses, nets, warm
import torch.nn.functional as F
from crops import cut, finder_input, jitter, reader_input, side_of
from data import batch_of, recoloured
from negatives import Negatives, beside_face
from raycast import phone, render
from raycast.base import Rng, noise_bank
from spoil import spoil

CUDA = torch.cuda.is_available()
MAPS = ("y", "face", "comp", "paint")  # travel as bytes from the processes that make the pictures


def arguments():
    ap = argparse.ArgumentParser()
    ap.add_argument("world")
    ap.add_argument("--seconds", type=float, default=60)
    ap.add_argument("--steps", type=int, default=10**9)
    ap.add_argument("--out", default=".")
    ap.add_argument("--onnx", default="")
    ap.add_argument("--init", default="")
    ap.add_argument("--lr", type=float, default=1.5e-3)
    ap.add_argument("--synth", type=int, default=32)
    ap.add_argument("--traced", type=int, default=16)
    ap.add_argument("--none", type=int, default=32)
    ap.add_argument("--producers", type=int, default=4)
    ap.add_argument("--side", type=int, default=data.SIDE)
    ap.add_argument("--seed", type=int, default=1)
    return ap.parse_args()


def world_on(dev, folder, seams):
    z = np.load(f"{folder}/{'seam_films' if seams else 'films'}.npz")
    films = {k: torch.tensor(z[k], device=dev) for k in z.files}
    films = {k: v if k in ("t", "c") else v.float() for k, v in films.items()}
    films["t"] = films["t"].float() if dev == "cpu" else films["t"]
    have = lambda n: torch.tensor(np.load(f"{folder}/{n}.npy"), device=dev) if os.path.exists(f"{folder}/{n}.npy") else None
    tiles = have("tiles")
    return render.World(dev, films, have("maps"), have("backgrounds"), None if tiles is None else tiles.float())


def synth_batch(n, side, world, bank, captured, pick=None):
    o = render.render(n, side, world, bank, captured, pick)
    y = phone.picture(o)
    on = o["face"].float()
    share = lambda m: (m * on).sum((1, 2)) / on.sum((1, 2)).clamp(min=1)
    burnt, dark = share((y.amin(1) > 0.96).float()), share((y.amax(1) < 0.06).float())
    q = torch.zeros(n, dtype=torch.long, device=world.dev)
    q[burnt > 0.45] = nets.BURNT
    q[dark > 0.6] = nets.DARK
    q[o["smear"]] = nets.SMEARED
    q[o["nojaw"] | (o["share"] < 0.6) | (o["inframe"] < 0.75)] = nets.HIDDEN
    dn = lambda m: F.avg_pool2d(m.float()[:, None], 2)[:, 0]
    return dict(
        y=y, doubtful=((burnt > 0.25) & (burnt <= 0.45)) | ((dark > 0.35) & (dark <= 0.6)), face=dn(o["face"]), comp=dn(o["comp"]), paint=dn(o["paint"]), pts=o["pts"], others=o["others"], q=q,
        lost=o["nojaw"] | (o["share"] < 0.5) | (o["inframe"] < 0.5),
        seam_ok=~o["nojaw"] & ~o["smear"] & (o["share"] > 0.75) & (o["inframe"] > 0.85) & ~o["alike"] & (~o["painted"] | o["seam_seen"]),
        **{k: o[k] for k in ("nojaw", "clean", "seep", "painted", "alike", "share", "inframe", "convex")},
    )


def produce(Q, i, n, side, folder, seed, seams=3):
    """Makes ray-cast batches for ever: half in captured light, one in `seams` with films for the seam network."""
    dev = f"cuda:{torch.cuda.device_count() - 1}" if CUDA else "cpu"
    if CUDA:
        torch.cuda.set_device(dev)
    else:
        torch.set_num_threads(1)
    torch.manual_seed(1000 * seed + i)
    worlds = [world_on(dev, folder, False), world_on(dev, folder, True)]
    c = 0
    while True:
        if c % 150 == 0:
            bank = noise_bank(dev)
        c += 1
        with torch.no_grad():
            b = synth_batch(n, side, worlds[c % seams == 0], bank, captured=torch.rand(()).item() < 0.55)
            for k in MAPS:
                b[k] = (b[k] * 255).round().byte()
            Q.put({k: v.cpu() for k, v in b.items()})


def unpacked(b, dev):
    b = {k: v.to(dev, non_blocking=True) for k, v in b.items()}
    for k in MAPS:
        b[k] = b[k].float() / 255
    b["ins"] = torch.ones(b["y"].shape[0], *b["y"].shape[2:], device=dev)
    return b


class Pool:
    """Ray-cast batches, each used up to `times` times; takes in a new one a step where there is one."""

    def __init__(s, Q, dev, times=4, most=14):
        s.Q, s.dev, s.times, s.most, s.made, s.held = Q, dev, times, most, 0, []

    def take(s):
        while True:
            try:
                b = s.Q.get(timeout=180) if not s.held else s.Q.get_nowait()
            except queue.Empty:
                break
            s.held.append([unpacked(b, s.dev), 0])
            s.made += 1
            if len(s.held) > 2:
                break
        e = s.held[np.random.randint(len(s.held))]
        e[1] += 1
        s.held = [p for p in s.held if p[1] < s.times][-s.most :] or s.held[-1:]
        return e[0]


def degraded(parts):
    """What shakes, exposes and recompresses a picture, the same for all kinds, in one go."""
    c = spoil({k: torch.cat([p[k] for p in parts]) for k in ("y", "ins", "pts", "q", "doubtful")})
    c["y"] = torch.where(c["ins"][:, None] > 0.5, phone.messenger(c["y"]), 0.5)
    cuts = [len(p["y"]) for p in parts]
    each = {k: c[k].split(cuts) for k in ("y", "q", "ign", "spoilt")}
    return [dict(p, **{k: v[i] for k, v in each.items()}) for i, p in enumerate(parts)]


def cat(parts):
    return {k: torch.cat([p[k] for p in parts]) for k in parts[0]}


def run(net, x):
    """Half precision for the networks alone: coordinates need more."""
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=CUDA):
        o = net(x.contiguous(memory_format=torch.channels_last))
    return tuple(t.float() for t in o) if isinstance(o, tuple) else o.float()


def finder_step(A, parts, none, N):
    ins, counts = [], []
    for b in [*parts, none]:
        x, face, q, M = finder_input(b)
        ins.append(dict(x=x, face=face, q=q, has=~b["lost"], use=~(b["spoilt"] | b["ign"]) | b["lost"]))
    c = cat(ins)
    o = run(A, c["x"])
    L, iou = losses.finder_loss(o, c["face"], c["q"], c["has"], c["use"])
    k = len(M)
    N.proposed(none, o[-k:].detach(), M)
    hot = (o[-k:, 0] > 0).flatten(1).any(1).float().mean()
    return L, dict(iou=iou[c["has"] & c["use"]].mean(), hot=hot)


def reader_step(B, parts, none, N):
    xs, ts = [], []
    for b in parts:
        x, face, comp, q, tip = reader_input(b)
        xs.append(x), ts.append(losses.truth_of(b, face, comp, q, tip))
    p = N.crops_at(none)
    xn, H = cut(none, p)
    i, q = beside_face(parts[0], 10)
    xb, _ = cut(parts[0], q, i)
    x = torch.cat([*xs, xn, xb])
    o, v, _ = run(B, x)
    k = sum(len(a) for a in xs)
    L, st = losses.reader_loss(o[:k], v[:k], cat(ts))
    Ln = losses.reader_no_jaw(o[k:], v[k:])
    N.settled(none, o[k : k + len(xn)].detach(), v[k : k + len(xn)].detach(), H)
    st.update(no=Ln, taken=(v[k:, nets.Reader.JAW] > 0).float().mean())
    return L + Ln * 0.7, st


def seam_step(C, parts, none, N):
    """Crops as the reader's, tip on top; the paint is learnt where it can be seen, jaw or none everywhere."""
    xs, seam, knows = [], [], []
    for b, weight in zip(parts, (1.0, 0.5)):
        x, *_ = reader_input(b, most=0.05, turn=0.0)
        ok = b["seam_ok"] if "seam_ok" in b else (b["q"] == 0)
        size = side_of(b["pts"][:, :4]) > 70
        xs.append(x), seam.append(b["painted"].float()), knows.append((ok & size & ~b["spoilt"] & ~b["ign"]).float() * weight)
    xn, _ = cut(none, N.crops_at(none))
    x = torch.cat([*xs, xn])
    x = torch.where(torch.rand(len(x), 1, 1, 1, device=x.device) < 0.5, recoloured(x, 0.1), x)
    v = run(C, x)
    seam, knows = torch.cat(seam), torch.cat(knows)
    k = len(seam)
    ls = (losses.bce(v[:k, 0], seam * 0.98 + 0.01, reduction="none") * knows).sum() / knows.sum().clamp(min=1)
    lj = (losses.bce(v[:k, 1], torch.full_like(seam, 0.99), reduction="none") * (knows > 0)).sum() / knows.sum().clamp(min=1)
    ln = losses.bce(v[k:, 1], torch.full_like(v[k:, 1], 0.01))
    wrong = (((v[:k, 0] > 0) != (seam > 0.5)).float() * knows).sum() / knows.sum().clamp(min=1)
    return ls * 1.5 + 0.4 * (lj + ln), dict(seam=wrong, seam_jaw=(v[k:, 1] > 0).float().mean())


def start(a, dev, D, N):
    """Networks with weights from ONNX, from an earlier run, or new."""
    nets_ = dict(finder=nets.Finder(), reader=nets.Reader(), seam=nets.Seam())
    for name, m in nets_.items():
        m.to(dev)
        if a.init:
            m.load_state_dict(torch.load(f"{a.init}/{name}.pt", map_location=dev))
        elif a.onnx:
            with torch.no_grad():
                b = degraded([batch_of(D, torch.arange(0, min(96, len(D["y"])), device=dev))])[0]
                x = finder_input(b)[0] if name == "finder" else reader_input(b)[0]
            warm.load(m, f"{a.onnx}/{name}.onnx", x)
        nets_[name] = m.to(memory_format=torch.channels_last).train()
    return nets_


def main():
    a = arguments()
    dev = "cuda:0" if CUDA else "cpu"
    torch.manual_seed(a.seed)
    np.random.seed(a.seed)
    if CUDA:
        torch.backends.cudnn.allow_tf32 = torch.backends.cudnn.benchmark = True
    Q = mp.Queue(8)
    procs = [mp.Process(target=produce, args=(Q, i, a.synth, a.side, a.world, a.seed), daemon=True) for i in range(a.producers)]
    [p.start() for p in procs]
    t_start = time.time()
    D = data.traced([f"{a.world}/traced.pkl"], dev, lambda k: not data.held_out(k))
    none = np.load(f"{a.world}/none.npz")
    N = Negatives(none["y"], none["size"], dev)
    W = start(a, dev, D, N)
    pool = Pool(Q, dev)
    opt = torch.optim.AdamW([p for m in W.values() for p in m.parameters()], lr=a.lr, weight_decay=1e-3)
    ema = {k: [v.clone().float() for v in m.state_dict().values()] for k, m in W.items()}
    states = {k: list(m.state_dict().values()) for k, m in W.items()}
    pool.take()
    print(f"set up in {time.time() - t_start:.0f} s, {len(D['y'])} traced, {len(N.y)} without a jaw", flush=True)
    t0 = last = time.time()
    it, log = 0, []
    while it < a.steps and (fr := max((time.time() - t0) / a.seconds, it / a.steps)) < 1:
        for g in opt.param_groups:
            g["lr"] = a.lr * min(1, (it + 1) / 150) * (0.5 + 0.5 * math.cos(math.pi * fr)) + 1e-5
        with torch.no_grad():
            i = torch.randint(0, len(D["y"]), (a.traced,), device=dev)
            t = batch_of(D, i)
            t["y"] = recoloured(t["y"])
            s, t, n = degraded([pool.take(), t, N.batch(a.none)])
        la, sa = finder_step(W["finder"], [s, t], n, N)
        lb, sb = reader_step(W["reader"], [s, t], n, N)
        lc, sc = seam_step(W["seam"], [s, t], n, N)
        opt.zero_grad(set_to_none=True)
        (la + lb + lc).backward()
        torch.nn.utils.clip_grad_norm_([p for m in W.values() for p in m.parameters()], 5.0)
        opt.step()
        it += 1
        k = min(0.998, (1 + it) / (10 + it))
        with torch.no_grad():
            for nm in W:
                torch._foreach_lerp_(ema[nm], [v.float() for v in states[nm]], 1 - k)
        if it % 10 == 0:
            log.append({**{k: float(v) for k, v in {**sa, **sb, **sc}.items()}, "finder": la.item(), "reader": lb.item()})
        if time.time() - last > max(20, a.seconds / 12):
            last = time.time()
            mean = {k: np.nanmean([x[k] for x in log]) for k in log[0]} if log else {}
            print(f"{last - t0:.0f}s step {it} batches {pool.made} " + " ".join(f"{k} {v:.3f}" for k, v in mean.items()), flush=True)
            log = []
    [p.kill() for p in procs]
    os.makedirs(a.out, exist_ok=True)
    for nm, m in W.items():
        sd = m.state_dict()
        torch.save({k: v.to(sd[k].dtype).cpu() for k, v in zip(sd, ema[nm])}, f"{a.out}/{nm}.pt")
    np.savez(f"{a.out}/mined.npz", hard=N.hard.cpu().numpy())
    print(f"final: {it} steps, {pool.made * a.synth} ray-cast pictures, {time.time() - t0:.0f} s", flush=True)
    sys.stdout.flush()
    os._exit(0)


if __name__ == "__main__":
    mp.set_start_method("spawn")
    mp.set_sharing_strategy("file_system")
    main()
