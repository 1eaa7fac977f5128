import os, sys, time, pickle, math, threading, queue, argparse
import numpy as np, cv2, torch, torch.nn.functional as F

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import synth, nets
import torch.multiprocessing as mp
from synth import Rng, V
from homography import homog

ap = argparse.ArgumentParser()
ap.add_argument("--seconds", type=float, default=60)
ap.add_argument("--real", nargs="*", default=[])
ap.add_argument("--val", nargs="*", default=[])
ap.add_argument("--out", default=".")
ap.add_argument("--bs", type=int, default=32)
ap.add_argument("--br", type=int, default=24)
ap.add_argument("--S", type=int, default=512)
ap.add_argument("--holdout", type=int, default=80)
ap.add_argument("--init", default="")
ap.add_argument("--lr", type=float, default=2.5e-3)
ap.add_argument("--nosynth", action="store_true")
ap.add_argument("--producers", type=int, default=3)
a = ap.parse_args()
t_start = time.time()
cuda = torch.cuda.is_available()
dev = "cuda:0" if cuda else "cpu"
torch.manual_seed(1)
if cuda:
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
S = a.S
AS, BS = 256, 192
MB = 0.15


def load(files, keep):
    """Rendered photos in a square canvas of 640, with masks; keep: fn(index, rec)."""
    I, M, Fm, Cm, P, meta = [], [], [], [], [], []
    n = 0
    for f in files:
        for rec in pickle.load(open(f, "rb")):
            n += 1
            if not keep(n - 1, rec):
                continue
            im = cv2.imdecode(np.frombuffer(rec["jpg"], np.uint8), 1)[..., ::-1]
            h, w = rec["size"]
            cv = np.full((640, 640, 3), 128, np.uint8)
            m = np.zeros((640, 640), np.uint8)
            y0, x0 = (640 - h) // 2, (640 - w) // 2
            cv[y0 : y0 + h, x0 : x0 + w] = im
            m[y0 : y0 + h, x0 : x0 + w] = 1
            hh, ww = h // 2, w // 2
            z = lambda b: cv2.copyMakeBorder(
                np.unpackbits(b)[: hh * ww].reshape(hh, ww),
                y0 // 2,
                320 - hh - y0 // 2,
                x0 // 2,
                320 - ww - x0 // 2,
                cv2.BORDER_CONSTANT,
            )
            I.append(cv)
            M.append(m)
            Fm.append(z(rec["face"]))
            Cm.append(z(rec["comp"]))
            if rec["pts"]:
                p = np.array(rec["pts"]) + [x0, y0]
                H, _ = cv2.findHomography(np.float64([[0, 0], [1, 0], [1, 1], [0, 1]]), p[:4])
                q = cv2.perspectiveTransform(np.float64([[[1, 0.5]], [[0, 0.5]]]), H)[:, 0]
                P.append(np.stack([*p[:4], p[4], q[0], p[5], q[1]]))
            else:
                P.append(np.zeros((8, 2)))
            meta.append(rec)
    T = lambda x: torch.tensor(np.stack(x), device=dev)
    why = {
        None: 0,
        "heavy motion blur": 1,
        "far too dark": 2,
        "blown out": 3,
        "glare over most of the face": 4,
        "face mostly outside the picture": 5,
        "face covered by a rag": 5,
        "no jaw in the picture": 5,
        "clean jaw, nothing was painted": 0,
        "compound smeared over everything": 6,
    }
    q = torch.tensor([why[r["why"]] for r in meta], device=dev)
    nj = torch.tensor(
        [
            r["why"]
            in (
                "no jaw in the picture",
                "face covered by a rag",
                "face mostly outside the picture",
                "far too dark",
            )
            for r in meta
        ],
        device=dev,
    )
    clean = torch.tensor([r["why"] == "clean jaw, nothing was painted" for r in meta], device=dev)
    seep = torch.tensor([r["method"] == "seep" for r in meta], device=dev)
    nojaw = torch.tensor([r["pts"] is None for r in meta], device=dev)
    return dict(
        img=T(I),
        inside=T(M),
        face=T(Fm),
        comp=T(Cm),
        pts=T(P).float(),
        q=q,
        lost=nj,
        clean=clean,
        seep=seep,
        nojaw=nojaw,
        meta=meta,
    )


def real_batch(D, n):
    i = torch.randint(0, D["img"].shape[0], (n,), device=dev)
    y = D["img"][i].permute(0, 3, 1, 2).float() / 255
    r = Rng(n, dev)
    ins = D["inside"][i].float()
    # colours: hue turned about the grey axis, tone, white balance, noise
    th = r.n((), 0.5) * r.p(0.5)
    th = torch.where(r.p(0.15) > 0, r.u(-3.14, 3.14), th)
    c, s = th.cos(), th.sin()
    k = 1 / 3
    A = torch.stack(
        [
            c + k * (1 - c),
            k * (1 - c) - s * k**0.5,
            k * (1 - c) + s * k**0.5,
            k * (1 - c) + s * k**0.5,
            c + k * (1 - c),
            k * (1 - c) - s * k**0.5,
            k * (1 - c) - s * k**0.5,
            k * (1 - c) + s * k**0.5,
            c + k * (1 - c),
        ],
        -1,
    ).view(n, 3, 3)
    y = torch.einsum("bij,bjhw->bihw", A, y).clamp(0, 1)
    y = y.clamp(1e-4) ** V(r.lu(0.6, 1.7))[:, None] * torch.exp(r.n((3, 1, 1), 0.07))
    g = y.mean(1, keepdim=True)
    y = g + (y - g) * V(r.lu(0.6, 1.6))[:, None]
    y = (y + r.lu(0.002, 0.05).view(-1, 1, 1, 1) * torch.randn_like(y)).clamp(0, 1)
    y = y * ins[:, None] + 0.5 * (1 - ins[:, None])
    return dict(
        y=y,
        face=D["face"][i].float(),
        comp=D["comp"][i].float(),
        pts=D["pts"][i],
        q=D["q"][i].clone(),
        lost=D["lost"][i],
        clean=D["clean"][i],
        seep=D["seep"][i],
        nojaw=D["nojaw"][i],
        ins=ins,
    )


def synth_batch(n, films, bank, d):
    o = synth.render(n, S, films, bank, d)
    y = synth.picture(o)
    q = torch.zeros(n, dtype=torch.long, device=d)
    q[o["smear"]] = 6
    lost = o["nojaw"] | (o["share"] < 0.5) | (o["inframe"] < 0.5)
    q[o["nojaw"] | (o["share"] < 0.6) | (o["inframe"] < 0.75)] = 5
    dn = lambda m: F.avg_pool2d(m.float()[:, None], 2)[:, 0]
    return dict(
        y=y,
        face=dn(o["face"]),
        comp=dn(o["comp"]),
        pts=o["pts"],
        q=q,
        lost=lost,
        clean=o["clean"],
        seep=o["seep"],
        nojaw=o["nojaw"],
        ins=torch.ones(n, S, S, device=d),
    )


def spoil(b):
    """Some pictures are made unreadable: shake, dark, burnt out. Little of each is harmless."""
    y, n = b["y"], b["y"].shape[0]
    r = Rng(n, dev)
    w = y.shape[-1]
    size = (b["pts"][:, :4].max(1).values - b["pts"][:, :4].min(1).values).amin(-1).clamp(20, w)
    k = torch.rand(n, device=dev)
    ok = b["q"] == 0
    q = b["q"]
    ign = torch.zeros(n, dtype=torch.bool, device=dev)
    m = k < 0.30
    ln = torch.where(
        k < 0.07, size * r.u(0.35, 0.9), torch.where(k < 0.1, size * r.u(0.1, 0.35), size * r.u(0, 0.05))
    )
    if m.any():
        y = y.clone()
        y[m] = synth.motion(y[m], ln[m], r.u(0, 3.14)[m])
        ya = y[k < 0.07]
        if len(ya):
            y[k < 0.07] = synth.blur(ya, r.u(0.5, 4)[k < 0.07])
    q = torch.where(ok & (k < 0.07), 1, q)
    ign |= ok & (k >= 0.07) & (k < 0.1)
    dk = (k >= 0.30) & (k < 0.36)
    br = (k >= 0.36) & (k < 0.42)
    lin = y.clamp(0, 1) ** 2.2
    fd = torch.exp2(-r.u(5.5, 9.5))
    fd2 = torch.exp2(r.u(2.8, 5.5))
    yd = ((lin * V(fd)[:, None]) + r.lu(0.0003, 0.004).view(-1, 1, 1, 1) * torch.randn_like(lin)).clamp(
        0, 1
    ) ** (1 / 2.2)
    yb = (lin * V(fd2)[:, None] + V(r.u(0, 0.4))[:, None]).clamp(0, 1) ** (1 / 2.2)
    y = torch.where(V(dk.float())[:, None] > 0, yd, y)
    y = torch.where(V(br.float())[:, None] > 0, yb, y)
    q = torch.where(ok & dk, 2, q)
    q = torch.where(ok & br, 3, q)
    ins = b["ins"][:, None]
    y = y * ins + 0.5 * (1 - ins)
    b = dict(b)
    b["y"] = y
    b["q"] = q
    b["ign"] = ign
    b["spoilt"] = dk | br | (k < 0.07)
    return b


def warp(img, grid):
    return F.grid_sample(img, grid, align_corners=False, padding_mode="zeros")


def mapp(H, p):
    q = torch.einsum("bij,bnj->bni", H, torch.cat([p, torch.ones_like(p[..., :1])], -1))
    return q[..., :2] / q[..., 2:].clamp(min=1e-4)


def finder_input(b, train=True):
    """Random crop, turn, mirror, scale to 256 with a grey margin. Pixel coordinates follow."""
    y, n, w = b["y"], b["y"].shape[0], b["y"].shape[-1]
    r = Rng(n, dev)
    if train:
        th = torch.randint(0, 4, (n,), device=dev) * math.pi / 2 + r.n((), 0.12) * r.p(0.5)
        fl = 1 - 2 * r.p(0.5)
        sc = r.lu(0.8, 1.12)
        sh = r.u(-0.12, 0.12, (2,))
    else:
        th = torch.zeros(n, device=dev)
        fl = torch.ones(n, device=dev)
        sc = torch.full((n,), 240 / 256, device=dev)
        sh = torch.zeros(n, 2, device=dev)
    c, s = th.cos() / sc, th.sin() / sc
    M = torch.stack(
        [torch.stack([c * fl, -s, sh[:, 0]], -1), torch.stack([s * fl, c, sh[:, 1]], -1)], 1
    )  # canvas -> picture, both in -1..1
    g = F.affine_grid(M, (n, 1, AS, AS), align_corners=False)
    k = 2 if w >= 480 else 1
    x = warp(F.avg_pool2d(y, k), g)
    ins = warp(b["ins"][:, None], g)
    x = x * (ins > 0.5) + 0.5 * (ins <= 0.5)
    g4 = F.affine_grid(M, (n, 1, AS // 4, AS // 4), align_corners=False)
    face = warp(F.avg_pool2d(b["face"][:, None], 2), g4)
    A = M[:, :, :2]
    inv = torch.linalg.inv(A)
    p = b["pts"] / w * 2 - 1
    q = torch.einsum("bij,bnj->bni", inv, p - sh[:, None])
    q = (q + 1) / 2 * AS
    return x, face, q


def gauss(p, size, sig):
    g = torch.arange(size, device=p.device) + 0.5
    return (
        torch.exp(-((g[None, None, :] - p[..., 0:1]) ** 2))[..., None, :]
        if False
        else torch.exp(
            -(
                (
                    (g[None, None, None, :] - p[..., 0, None, None]) ** 2
                    + (g[None, None, :, None] - p[..., 1, None, None]) ** 2
                )
                / (2 * sig**2)
            )
        )
    )


def finder_loss(net, b, train=True):
    x, face, q = finder_input(b, train)
    o = net(x.contiguous(memory_format=torch.channels_last))
    n = x.shape[0]
    use = ~(b["spoilt"] | b["ign"]) if "ign" in b else torch.ones(n, dtype=torch.bool, device=dev)
    has = ~b["lost"]
    face = face * V(has.float())[:, None]
    lm = (F.binary_cross_entropy_with_logits(o[:, 0], face[:, 0], reduction="none")).mean((1, 2))
    inter = (o[:, 0].sigmoid() * face[:, 0]).sum((1, 2))
    dice = 1 - (2 * inter + 1) / (o[:, 0].sigmoid().sum((1, 2)) + face[:, 0].sum((1, 2)) + 1)
    t = gauss(q[:, :4] / 4, AS // 4, 1.3).amax(1) * V(has.float())
    pw = 1 + 12 * t
    lc = (F.binary_cross_entropy_with_logits(o[:, 1], t, reduction="none") * pw).mean((1, 2))
    d = q[:, 4] - q[:, 6]
    d = d / (d.norm(dim=-1, keepdim=True) + 1e-6)
    ld = ((o[:, 2:4] - d[:, :, None, None]) ** 2 * face).sum((1, 2, 3)) / (face.sum((1, 2, 3)) + 8)
    L = lm * 4 + dice * 0.5 * has + lc * 4 + ld * 0.4 * has
    iou = ((o[:, 0] > 0) & (face[:, 0] > 0.5)).sum((1, 2)) / ((o[:, 0] > 0) | (face[:, 0] > 0.5)).sum(
        (1, 2)
    ).clamp(min=1)
    return (L * use).sum() / use.sum().clamp(min=1), iou[has]


UNIT = None


def reader_input(b, train=True):
    y, n, w = b["y"], b["y"].shape[0], b["y"].shape[-1]
    r = Rng(n, dev)
    p = b["pts"][:, :4]
    size = (p[:, [0, 1, 2, 3]] - p[:, [1, 2, 3, 0]]).norm(dim=-1).mean(1)
    bad = size < 8
    rnd = (
        torch.tensor([[0.3, 0.3], [0.7, 0.3], [0.7, 0.7], [0.3, 0.7]], device=dev) * w + r.n((4, 2), 0.06) * w
    )
    p = torch.where(bad.view(-1, 1, 1), rnd, p)
    size = torch.where(bad, w * 0.4, size)
    k = (
        torch.where(r.p(0.2) > 0, torch.randint(0, 4, (n,), device=dev), 0)
        if train
        else torch.zeros(n, dtype=torch.long, device=dev)
    )
    idx = (torch.arange(4, device=dev)[None] + k[:, None]) % 4
    pr = torch.gather(p, 1, idx[..., None].expand(-1, -1, 2))
    mid = torch.gather(b["pts"][:, 4:], 1, idx[..., None].expand(-1, -1, 2))
    j = r.u(0.0, 0.09) if train else torch.full((n,), 0.025, device=dev)
    common = r.n((1, 2), 0.5)
    jit = (r.n((4, 2)).clamp(-2, 2) + common) * (j * size).view(-1, 1, 1)
    pj = pr + jit
    if train:
        fl = r.p(0.5).bool()
        sw = torch.tensor([1, 0, 3, 2], device=dev)
        pj = torch.where(fl.view(-1, 1, 1), pj[:, sw], pj)
        pr = torch.where(fl.view(-1, 1, 1), pr[:, sw], pr)
        mid = torch.where(fl.view(-1, 1, 1), mid[:, torch.tensor([0, 3, 2, 1], device=dev)], mid)
        tipside = torch.where(fl, k % 4, (-k) % 4)
    else:
        tipside = (-k) % 4
    c = torch.tensor([[MB, MB], [1 - MB, MB], [1 - MB, 1 - MB], [MB, 1 - MB]], device=dev)[None].expand(
        n, -1, -1
    )
    H = homog(c, pj / w * 2 - 1)
    g1 = (torch.arange(BS, device=dev) + 0.5) / BS
    G = torch.stack(torch.meshgrid(g1, g1, indexing="xy"), -1).view(1, -1, 2).expand(n, -1, -1)
    grid = mapp(H, G).view(n, BS, BS, 2)
    y2 = F.avg_pool2d(y, 2)
    s1 = size / (BS * (1 - 2 * MB))
    x = torch.where(V((s1 > 1.6).float())[:, None] > 0, warp(y2, grid), warp(y, grid))
    ins = warp(b["ins"][:, None], grid)
    x = x * (ins > 0.5) + 0.5 * (ins <= 0.5)
    gh = (torch.arange(BS // 2, device=dev) + 0.5) / (BS // 2)
    G2 = torch.stack(torch.meshgrid(gh, gh, indexing="xy"), -1).view(1, -1, 2).expand(n, -1, -1)
    grid2 = mapp(H, G2).view(n, BS // 2, BS // 2, 2)
    face = warp(b["face"][:, None], grid2)[:, 0]
    comp = warp(b["comp"][:, None], grid2)[:, 0]
    Hi = torch.linalg.inv(H)
    q = mapp(Hi, torch.cat([pr, mid], 1) / w * 2 - 1) * BS
    return x, face, comp, q, tipside


def softarg(h):
    B, C, Hh, Ww = h.shape
    p = h.float().view(B, C, -1).softmax(-1).view(B, C, Hh, Ww)
    g = torch.arange(Ww, device=h.device) + 0.5
    return torch.stack([(p.sum(2) * g).sum(-1), (p.sum(3) * g).sum(-1)], -1)


def reader_loss(net, b, train=True):
    x, face, comp, q, tip = reader_input(b, train)
    n = x.shape[0]
    o, v = net(x.contiguous(memory_format=torch.channels_last))
    ign = b.get("ign", torch.zeros(n, dtype=torch.bool, device=dev))
    good = (~b["lost"] & (b["q"] == 0) & ~ign & ~b.get("spoilt", ign)).float()
    gm = (good + (b["q"] == 6).float() * (~b.get("spoilt", ign))).clamp(max=1)
    lf = F.binary_cross_entropy_with_logits(o[:, 0], face, reduction="none").mean((1, 2)) * gm
    m = (face > 0.5).float()
    lc = (
        (F.binary_cross_entropy_with_logits(o[:, 1], comp, reduction="none") * m).sum((1, 2))
        / (m.sum((1, 2)) + 50)
        * gm
    )
    h = o[:, 2:]
    t = gauss(q / 2, BS // 2, 1.6)
    t = t / (t.sum((2, 3), keepdim=True) + 1e-6)
    ok = ((q > 2) & (q < BS - 2)).all(-1).float()
    ls = -(t * h.float().reshape(n, 8, -1).log_softmax(-1).view_as(h)).sum((2, 3))
    pos = softarg(h) * 2
    e = (pos - q).norm(dim=-1)
    le = ((ls * 0.25 + F.smooth_l1_loss(pos, q, reduction="none").sum(-1) * 0.12) * ok).mean(1) * gm
    lt = F.cross_entropy(v[:, :4], tip, reduction="none") * gm
    lp = (
        F.binary_cross_entropy_with_logits(v[:, 4], (~b["clean"]).float(), reduction="none")
        * good
        * b["seep"].float()
        * 1.5
    )
    lq = F.cross_entropy(v[:, 5:], b["q"], reduction="none") * (~ign)
    L = lf * 2 + lc * 3 + le + lt * 0.5 + lp * 0.5 + lq * 0.5
    st = dict(
        kp=(e * ok).sum() / ok.sum().clamp(min=1),
        kpg=e[gm > 0].flatten(),
        comp=(((o[:, 1] > 0).float() - (comp > 0.5).float()).abs() * m).sum((1, 2))
        / m.sum((1, 2)).clamp(min=1),
        good=good,
        tip=((v[:, :4].argmax(1) == tip).float() * gm).sum() / gm.sum().clamp(min=1),
        q=((v[:, 5:].argmax(1) == b["q"]).float() * ~ign).sum() / (~ign).sum().clamp(min=1),
        seam=(((v[:, 4] > 0) == ~b["clean"]).float() * good * b["seep"]).sum()
        / (good * b["seep"]).sum().clamp(min=1),
    )
    return L.mean(), st


def evaluate(A, Bn, D, tag):
    A.eval()
    Bn.eval()
    n = D["img"].shape[0]
    iou, kp, cm, gd, tp, qq, sm = [], [], [], [], [], [], []
    with torch.no_grad():
        for i in range(0, n, 40):
            s = slice(i, i + 40)
            y = D["img"][s].permute(0, 3, 1, 2).float() / 255
            b = dict(
                y=y,
                face=D["face"][s].float(),
                comp=D["comp"][s].float(),
                pts=D["pts"][s],
                q=D["q"][s],
                lost=D["lost"][s],
                clean=D["clean"][s],
                seep=D["seep"][s],
                nojaw=D["nojaw"][s],
                ins=D["inside"][s].float(),
            )
            _, u = finder_loss(A, b, False)
            iou.append(u[(b["q"][~b["lost"]] == 0)])
            _, st = reader_loss(Bn, b, False)
            kp.append(st["kpg"])
            cm.append(st["comp"][st["good"] > 0])
            tp.append(st["tip"].item())
            qq.append(st["q"].item())
            sm.append(st["seam"].item())
    iou = torch.cat(iou)
    kp = torch.cat(kp)
    cm = torch.cat(cm)
    print(
        f"  {tag}: iou med {iou.median():.3f} p10 {iou.quantile(.1):.3f} found {(iou > .75).float().mean():.3f} | kp px med {kp.median():.2f} p90 {kp.quantile(.9):.2f} | comp err mean {cm.mean():.4f} p90 {cm.quantile(.9):.3f} | tip {np.mean(tp):.3f} quality {np.mean(qq):.3f} seam {np.mean(sm):.3f}",
        flush=True,
    )
    A.train()
    Bn.train()


def produce(Q, i, bs, size):
    global S
    S = size
    d = f"cuda:{torch.cuda.device_count() - 1}" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(1000 + i)
    if torch.cuda.is_available():
        torch.cuda.set_device(d)
    z = np.load("films.npz")
    f = dict(
        t=torch.tensor(z["t"], device=d).float() / 4,
        seep=torch.tensor(z["seep"], device=d).float(),
        L=torch.tensor(z["L"], device=d),
        W=torch.tensor(z["W"], device=d),
    )
    c = 0
    while True:
        if c % 150 == 0:
            bank = synth.noise_bank(d)
        c += 1
        with torch.no_grad():
            b = synth_batch(bs, f, bank, d)
            b["y"] = (b["y"] * 255).round().byte()
            b["face"] = (b["face"] * 255).byte()
            b["comp"] = (b["comp"] * 255).byte()
            del b["ins"]
            Q.put({k: v.cpu() for k, v in b.items()})


def to_dev(b):
    b = {k: v.to(dev, non_blocking=True) for k, v in b.items()}
    n = b["y"].shape[0]
    for k in ("y", "face", "comp"):
        b[k] = b[k].float() / 255
    b["ins"] = torch.ones(n, S, S, device=dev)
    return b


def main():
    z = np.load("films.npz")
    mk = lambda d: dict(
        t=torch.tensor(z["t"], device=d).float() / 4,
        seep=torch.tensor(z["seep"], device=d).float(),
        L=torch.tensor(z["L"], device=d),
        W=torch.tensor(z["W"], device=d),
    )
    hold = lambda i, r: (
        int(r["name"].split("-")[1]) % 5 == 4
        if r["name"].startswith("m12")
        else (r["name"].startswith("t41") and int(r["name"].split("-")[1]) % 8 == 7)
    )
    D = load(a.real, lambda i, r: not hold(i, r)) if a.real else None
    VALS = [("held out", load(a.real, hold))] if a.real and a.holdout else []
    for f in a.val:
        VALS.append((os.path.basename(f), load([f], lambda i, r: True)))
    A, Bn = nets.Finder().to(dev), nets.Reader().to(dev)
    if a.init:
        A.load_state_dict(torch.load(a.init + "/finder.pt", map_location=dev))
        Bn.load_state_dict(torch.load(a.init + "/reader.pt", map_location=dev))
    if cuda:
        A = A.to(memory_format=torch.channels_last)
        Bn = Bn.to(memory_format=torch.channels_last)
    opt = torch.optim.AdamW([*A.parameters(), *Bn.parameters()], lr=a.lr, weight_decay=1e-3)
    ema = {k: [v.clone().float() for v in m.state_dict().values()] for k, m in (("A", A), ("B", Bn))}
    print(
        "params",
        sum(p.numel() for p in A.parameters()),
        sum(p.numel() for p in Bn.parameters()),
        "setup",
        time.time() - t_start,
        flush=True,
    )
    Q = mp.Queue(6)
    nproc = a.producers
    procs = []
    if not a.nosynth:
        for i in range(nproc):
            p = mp.Process(target=produce, args=(Q, i, a.bs, a.S), daemon=True)
            p.start()
            procs.append(p)
    it = 0
    t0 = time.time()
    last = t0
    ts = 0
    agg = []
    pool = []
    while True:
        fr = (time.time() - t0) / a.seconds
        if fr >= 1:
            break
        for gq in opt.param_groups:
            gq["lr"] = a.lr * min(1, (it + 1) / 100) * (0.5 + 0.5 * math.cos(math.pi * min(fr, 1))) + 1e-5
        parts = []
        if not a.nosynth:
            try:
                while len(pool) < 1:
                    pool.append([to_dev(Q.get(timeout=90)), 0])
                try:
                    pool.append([to_dev(Q.get_nowait()), 0])
                    ts += 1
                except queue.Empty:
                    pass
            except queue.Empty:
                break
            e = pool[0] if len(pool) == 1 else pool[np.random.randint(len(pool))]
            e[1] += 1
            parts.append(e[0])
            pool = [p for p in pool if p[1] < 4][-12:] or pool[-1:]
        if D is not None:
            parts.append(real_batch(D, a.br))
        L = 0
        for b in parts:
            b = spoil(b)
            with torch.autocast("cuda", dtype=torch.bfloat16, enabled=cuda):
                l1, u = finder_loss(A, b)
                l2, st = reader_loss(Bn, b)
            L = L + l1 + l2
            (
                agg.append(
                    (
                        l1.item(),
                        l2.item(),
                        u.mean().item(),
                        st["kp"].item(),
                        (st["comp"] * st["good"]).sum().item() / max(st["good"].sum().item(), 1),
                    )
                )
                if it % 10 == 0
                else None
            )
        opt.zero_grad(set_to_none=True)
        L.backward()
        torch.nn.utils.clip_grad_norm_([*A.parameters(), *Bn.parameters()], 5.0)
        opt.step()
        it += 1
        k = min(0.998, (1 + it) / (10 + it))
        with torch.no_grad():
            for nm, m in (("A", A), ("B", Bn)):
                for e2, v in zip(ema[nm], m.state_dict().values()):
                    e2.mul_(k).add_(v.float(), alpha=1 - k)
        if time.time() - last > max(20, a.seconds / 9):
            last = time.time()
            m = np.nanmean(np.array(agg), 0)
            agg = []
            print(
                f"{last - t0:.0f}s it {it} synth batches {ts} finder {m[0]:.3f} reader {m[1]:.3f} iou {m[2]:.3f} kp {m[3]:.2f} comp {m[4]:.4f}",
                flush=True,
            )
            for tag, vd in VALS:
                evaluate(A, Bn, vd, tag)
    [p.terminate() for p in procs]
    for nm, m in (("A", A), ("B", Bn)):
        sd = m.state_dict()
        m.load_state_dict({k: v.to(sd[k].dtype) for k, v in zip(sd.keys(), ema[nm])})
    print("final", it, ts, flush=True)
    for tag, vd in VALS:
        evaluate(A, Bn, vd, tag)
    torch.save({k: v.cpu() for k, v in A.state_dict().items()}, a.out + "/finder.pt")
    torch.save({k: v.cpu() for k, v in Bn.state_dict().items()}, a.out + "/reader.pt")


if __name__ == "__main__":
    mp.set_start_method("spawn")
    mp.set_sharing_strategy("file_system")
    main()
    sys.stdout.flush()
    os._exit(0)
