"""Trains the seam network: was a seam painted around the face? A crop as the reader's in, one logit out.

seam.py --seconds S --films FILMS [--real CROPS...] [--test CROPS...] [--init DIR] --out DIR
"""

import argparse, os, pickle, queue, sys, time
import numpy as np, cv2, torch, torch.nn as nn, torch.nn.functional as F
import torch.multiprocessing as mp

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import synth
from nets import Res, cbr
from synth import Rng, V
from homography import homog

CROP, MARGIN = 192, 0.15
PACK = 320  # side of the packed crops; the face is their middle half
RING = 0.16  # how far into the face the network sees, as a share of the face's side


class Seam(nn.Module):
    """The middle of the face is hidden, so that neither the pattern nor the film's texture can stand for the seam."""

    def __init__(s, ch=(12, 20, 32, 40)):
        super().__init__()
        a, b, c, d = ch
        s.f = nn.Sequential(
            cbr(3, a, 2), cbr(a, b, 2), Res(b), cbr(b, c, 2), Res(c), cbr(c, d, 2), Res(d), nn.AvgPool2d(3)
        )
        s.h = nn.Sequential(
            nn.Flatten(), nn.Linear(d * 16, 32), nn.ReLU(), nn.Dropout(0.2), nn.Linear(32, 1)
        )
        i = round(CROP * (MARGIN + RING * (1 - 2 * MARGIN)))
        inner = torch.zeros(CROP)
        inner[i:-i] = 1
        s.register_buffer("inner", inner)

    def forward(s, x):
        ring = 1 - s.inner.view(1, 1, -1, 1) * s.inner.view(1, 1, 1, -1)
        return s.h(s.f((x - 0.5) * ring))


def grid_to(frame, quad, size):
    """Grid that samples a picture (corners `quad`, -1..1) so that they come to lie on `frame` (0..1)."""
    n, d = quad.shape[0], quad.device
    H = homog(frame.expand(n, -1, -1), quad)
    g1 = (torch.arange(size, device=d) + 0.5) / size
    G = torch.stack(torch.meshgrid(g1, g1, indexing="xy"), -1).view(1, -1, 2).expand(n, -1, -1)
    q = torch.einsum("bij,bnj->bni", H, torch.cat([G, torch.ones_like(G[..., :1])], -1))
    return (q[..., :2] / q[..., 2:].clamp(min=1e-4)).view(n, size, size, 2)


def square(m, d):
    return torch.tensor([[m, m], [1 - m, m], [1 - m, 1 - m], [m, 1 - m]], device=d)[None]


def warp(x, g):
    return F.grid_sample(x, g, align_corners=False, padding_mode="zeros")


def crops_of(o, y):
    """Ray-cast pictures -> packed crops, whether each is inside the picture, labels, which can be used."""
    p = o["pts"][:, :4]
    w = y.shape[-1]
    size = (p - p.roll(-1, 1)).norm(dim=-1).mean(1)
    ok = ~o["nojaw"] & ~o["smear"] & (o["share"] > 0.75) & (o["inframe"] > 0.85) & (size > 70)
    p = torch.where(ok.view(-1, 1, 1), p, square(0.25, y.device) * w)
    g = grid_to(square(0.25, y.device), p / w * 2 - 1, PACK)
    big = V((size > PACK * 0.5 * 1.5).float())[:, None] > 0
    x = torch.where(big, warp(F.avg_pool2d(y, 2), g), warp(y, g))
    ins = warp(torch.ones_like(y[:, :1]), g) > 0.5
    return (x * 255).round().byte(), ins[:, 0, ::2, ::2].contiguous(), o["painted"], ok


def produce(Q, i, films, bs, S):
    d = "cuda:0" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(9000 + i)
    z = np.load(films)
    f = {k: torch.tensor(z[k], device=d).float() for k in ("t", "seep", "L", "W")}
    f["t"] /= 4
    c = 0
    while True:
        if c % 100 == 0:
            bank = synth.noise_bank(d)
        c += 1
        with torch.no_grad():
            o = synth.render(bs, S, f, bank, d)
            x, ins, lab, ok = crops_of(o, synth.picture(o))
            Q.put([t[ok].cpu() for t in (x, ins, lab.float())])


def load(files, keep):
    X, I, Y = [], [], []
    for f in files:
        for k, rec in enumerate(pickle.load(open(f, "rb"))):
            if rec["why"] not in (None, "clean jaw, nothing was painted") or not keep(k, rec):
                continue
            im = cv2.imdecode(np.frombuffer(rec["jpg"], np.uint8), 1)[..., ::-1]
            X.append(im.transpose(2, 0, 1).copy())
            I.append(np.unpackbits(rec["ins"]).reshape(160, 160).astype(bool))
            seam = rec["method"] == "seep" if rec["seam"] is None else rec["seam"]
            Y.append(float(seam and rec["why"] is None))
    return [torch.tensor(np.stack(X)), torch.tensor(np.stack(I)), torch.tensor(Y)]


def hue(n, th):
    c, s, k = th.cos(), th.sin(), 1 / 3
    a, b, e = c + k * (1 - c), k * (1 - c) - s * k**0.5, k * (1 - c) + s * k**0.5
    return torch.stack([a, b, e, e, a, b, b, e, a], -1).view(n, 3, 3)


def batch(D, i, train, jit=0.0):
    x, ins = D[0][i].float() / 255, D[1][i].float()[:, None]
    n, d = x.shape[0], x.device
    r = Rng(n, d)
    c = square(0.25, d).expand(n, -1, -1)
    j = r.u(0, 0.05) if train else torch.full((n,), jit, device=d)
    p = c + (r.n((4, 2)).clamp(-2, 2) + r.n((1, 2), 0.5)) * (j * 0.5).view(-1, 1, 1)
    if train:
        p = torch.where(r.p(0.5).view(-1, 1, 1) > 0, p[:, [1, 0, 3, 2]], p)
    g = grid_to(square(MARGIN, d), p * 2 - 1, CROP)
    x, ins = warp(x, g), warp(ins, g) > 0.5
    if train:
        m = r.p(0.35)
        sig = torch.where(m > 0, r.lu(0.3, 2.0), 0.05 + 0 * m)
        x = synth.blur(x, sig)
        k = torch.rand(n, device=d) < 0.15
        if k.any():
            x[k] = synth.motion(x[k], r.u(1, 6)[k], r.u(0, 3.14)[k])
        th = torch.where(r.p(0.3) > 0, r.u(-3.14, 3.14), r.n((), 0.4) * r.p(0.5))
        x = torch.einsum("bij,bjhw->bihw", hue(n, th), x).clamp(1e-4, 1)
        x = x ** V(r.lu(0.55, 1.8))[:, None] * torch.exp(r.n((3, 1, 1), 0.08)) * V(r.lu(0.6, 1.35))[:, None]
        gm = x.mean(1, keepdim=True)
        x = gm + (x - gm) * V(r.lu(0.45, 1.6))[:, None]
        x = x + r.lu(0.001, 0.05).view(-1, 1, 1, 1) * torch.randn_like(x)
        x = x.clamp(0, 1)
    return torch.where(ins, x, 0.5)


@torch.no_grad()
def logits(net, D, jit=0.0):
    net.eval()
    torch.manual_seed(3)
    n = len(D[2])
    o = torch.cat([net(batch(D, torch.arange(k, min(k + 250, n), device=D[0].device), False, jit))[:, 0].float() for k in range(0, n, 250)])
    net.train()
    return o.cpu().numpy()


def auc(s, y):
    r = np.empty(len(s))
    r[np.argsort(s)] = np.arange(len(s))
    p = y > 0.5
    return (r[p].mean() - (p.sum() - 1) / 2) / max((~p).sum(), 1) if 0 < p.sum() < len(y) else float("nan")


def report(net, sets):
    for name, D in sets.items():
        y = D[2].cpu().numpy()
        for jit in (0.0, 0.02):
            v = logits(net, D, jit)
            q = lambda a, at: np.round(np.quantile(a, at), 2)
            seam, none = q(v[y > 0.5], [0, 0.01, 0.05]), q(v[y < 0.5], [0.95, 0.99, 1])
            wrong = np.mean((v > 0) != (y > 0.5))
            print(f"  {name} n {len(y)} jitter {jit} auc {auc(v, y):.4f} wrong {wrong:.4f} seam {seam} none {none}", flush=True)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--seconds", type=float, default=60)
    ap.add_argument("--films", default="")
    ap.add_argument("--real", nargs="*", default=[])
    ap.add_argument("--test", nargs="*", default=[])
    ap.add_argument("--out", default=".")
    ap.add_argument("--pool", type=int, default=24000)
    ap.add_argument("--first", type=int, default=3000)
    ap.add_argument("--enough", type=int, default=18000, help="ray-cast pictures after which no more are made")
    ap.add_argument("--init", default="")
    ap.add_argument("--producers", type=int, default=4)
    ap.add_argument("--bs", type=int, default=96)
    ap.add_argument("--lr", type=float, default=2e-3)
    a = ap.parse_args()
    dev = "cuda:0" if torch.cuda.is_available() else "cpu"
    if dev != "cpu":
        torch.backends.cuda.matmul.allow_tf32 = True
        torch.backends.cudnn.allow_tf32 = True
        torch.backends.cudnn.benchmark = True
    torch.manual_seed(1)
    sets, R = {}, None
    mv = lambda D: [t.to(dev) for t in D]
    hold = lambda k, rec: k % 5 == 4
    if a.real:
        R = mv(load(a.real, lambda k, rec: not hold(k, rec)))
        sets["traced-held"] = mv(load(a.real, hold))
    for f in a.test:
        sets[os.path.basename(f).split(".")[0]] = mv(load([f], lambda k, rec: True))
    P = [torch.zeros(a.pool, 3, PACK, PACK, dtype=torch.uint8, device=dev), torch.zeros(a.pool, 160, 160, dtype=torch.bool, device=dev), torch.zeros(a.pool, device=dev)]
    fill = total = 0
    Q = mp.Queue(8)
    procs = [mp.Process(target=produce, args=(Q, i, a.films, 32, 512), daemon=True) for i in range(a.producers)]
    [p.start() for p in procs]

    def take(block):
        nonlocal fill, total
        b = Q.get(timeout=120) if block else Q.get_nowait()
        k = len(b[2])
        at = torch.arange(total, total + k) % a.pool
        for t, v in zip(P, b):
            t[at.to(dev)] = v.to(dev)
        total += k
        fill = min(total, a.pool)

    while total < 1500:
        take(True)
    sets["ray-cast"] = [t[:1500].clone() for t in P]
    fill = total = 0
    while total < a.first:
        take(True)
    net = Seam().to(dev).train()
    if a.init:
        net.load_state_dict(torch.load(a.init + "/seam.pt", map_location=dev))
    ema = [t.clone().float() for t in net.state_dict().values()]
    opt = torch.optim.AdamW(net.parameters(), lr=a.lr, weight_decay=1e-2)
    print("parameters", sum(p.numel() for p in net.parameters()), flush=True)
    t0, it, last = time.time(), 0, time.time()
    while (fr := (time.time() - t0) / a.seconds) < 1:
        if total > a.enough and procs:
            [p.kill() for p in procs]
            procs = []
        try:
            for _ in range(4):
                take(False)
        except queue.Empty:
            pass
        with torch.no_grad():
            i = torch.randint(0, fill, (a.bs,), device=dev)
            x, y = batch(P, i, True), P[2][i]
            if R:
                i = torch.randint(0, len(R[2]), (a.bs * 2 // 3,), device=dev)
                x, y = torch.cat([x, batch(R, i, True)]), torch.cat([y, R[2][i]])
        for g in opt.param_groups:
            g["lr"] = a.lr * min(1, (it + 1) / 200) * (0.5 + 0.5 * np.cos(np.pi * fr)) + 1e-6
        L = F.binary_cross_entropy_with_logits(net(x)[:, 0], y * 0.98 + 0.01)
        opt.zero_grad(set_to_none=True)
        L.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 3.0)
        opt.step()
        m = min(0.998, (1 + it) / (10 + it))
        with torch.no_grad():
            for e, v in zip(ema, net.state_dict().values()):
                e.mul_(m).add_(v.float(), alpha=1 - m)
        it += 1
        if time.time() - last > max(30, a.seconds / 6):
            last = time.time()
            print(f"{last - t0:.0f}s it {it} pictures {total} loss {L.item():.3f}", flush=True)
            report(net, sets)
    [p.kill() for p in procs]
    sd = net.state_dict()
    net.load_state_dict({n: v.to(sd[n].dtype) for n, v in zip(sd, ema)})
    print("final", it, total, flush=True)
    report(net, sets)
    os.makedirs(a.out, exist_ok=True)
    torch.save({n: v.cpu() for n, v in net.state_dict().items()}, a.out + "/seam.pt")
    net = net.cpu().eval()
    torch.onnx.export(
        net,
        torch.rand(1, 3, CROP, CROP),
        a.out + "/seam.onnx",
        input_names=["crop"],
        output_names=["seam"],
        opset_version=17,
        dynamo=False,
    )
    sys.stdout.flush()
    os._exit(0)


if __name__ == "__main__":
    mp.set_start_method("spawn")
    mp.set_sharing_strategy("file_system")
    main()
