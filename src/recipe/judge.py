"""Learns to name the pattern from a coarse compound map: exact labels from simulated gaps, maps spoilt as a reading spoils them; and
maps that readings gave of photos with truth, whose faults no simulation has: reflections, torn films, outlines that are off.

judge.py make N GAPS.npz SEED [--plain] | judge.py train GAPS.npz EXACT.npz OUT SECONDS [JUDGE.onnx [LINES FOLDER ...]]
"""

import sys, time, os, numpy as np, multiprocessing as mp

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "render"))
import gapfield as gf

NAMES = [
    "full-length",
    "tip-only",
    "base-only",
    "ends-only",
    "middle-only",
    "centre-only",
    "edges-only",
    "one-side",
    "held-off",
    "mixed",
]
T = 25.4


def dried(film, r):
    """The film after drying and tearing, as a reading shows it: patchy, but the patch as a whole."""
    import cv2, films

    s, x = np.linspace(0, 1, films.NS)[:, None], np.linspace(-1, 1, films.NX)[None]
    if r.random() < 0.5:  # plain films must stay as well known as the others
        return film
    t, c = films.look(r, cv2.resize(film.astype(np.float32), (films.NX, films.NS)), s, x)
    patchy = c * np.clip(2.7 + r.uniform(0.2, 1.5) * films.waves(r, r.uniform(2, 6)), 1, 6)
    return cv2.resize(np.maximum(np.minimum(t, 6) if r.random() < 0.5 else 0, patchy), (film.shape[1], film.shape[0]))


def dry_face(seed):
    return face(seed, True)


def face(seed, looks=False):
    r = np.random.default_rng(seed)
    f = dict(
        closure_um=r.uniform(5, 11),
        threshold_um=r.uniform(3.5, 7),
        reach_mm=r.uniform(12, 45),
        waviness_um=r.uniform(0.6, 3.2),
        seed=int(seed),
    )
    f["length_mm"] = r.uniform(16, 66)
    f["width_mm"] = float(np.clip(r.uniform(22, 52), f["length_mm"] * 0.4, f["length_mm"] * 2.6))
    k = r.choice(
        ["taper", "zero", "R", "tilt", "bow", "chip", "R+t", "tilt+t", "bow+t", "R+tilt"],
        p=[0.34, 0.13, 0.1, 0.09, 0.1, 0.09, 0.05, 0.05, 0.04, 0.01],
    )
    sg = lambda: float(r.choice([-1, 1]))
    m = r.uniform(22, 65)
    e = r.normal(0, 0.12) * T
    if k == "taper":
        e = sg() * np.exp(r.uniform(np.log(0.22), np.log(3.4))) * T
    if k.endswith("+t"):
        e = sg() * r.uniform(0.4, 1.8) * T
    f["taper_error_um"] = float(e)
    if k.startswith("R"):
        f["radius_mismatch_um"] = sg() * m
    if k.startswith("tilt") or k == "R+tilt":
        f["side_tilt_um"] = sg() * m * (0.8 if "+" in k else 1)
    if k.startswith("bow"):
        f["mid_bow_um"] = sg() * m if k == "bow" else m
    if k == "chip":
        f["chip"] = (r.uniform(0.15, 0.85), r.uniform(-0.7, 0.7), r.uniform(40, 95), r.uniform(1.0, 2.8))
    f["method"] = "transfer" if r.random() < 0.2 else "seep"
    t = gf.truth(gf.Face(**f))
    c = dried(t["film_um"], np.random.default_rng(seed + 5)) if looks else t["film_um"]
    return (
        (np.clip(c, 0, 63) * 4).astype(np.uint8),
        NAMES.index(t["pattern"]),
        t["borderline"],
        f["method"] == "transfer",
        e,
        np.array(t["thirds"], np.float32),
        f["length_mm"],
        f["width_mm"],
    )


def make(n, path, seed0=0, looks=True):
    t = time.time()
    with mp.Pool() as p:
        R = p.map(dry_face if looks else face, range(seed0, seed0 + n), chunksize=20)
    np.savez_compressed(
        path,
        film=np.stack([a[0] for a in R]),
        y=np.array([a[1] for a in R]),
        b=np.array([a[2] for a in R]),
        tr=np.array([a[3] for a in R]),
        e=np.array([a[4] for a in R]),
        th=np.stack([a[5] for a in R]),
    )
    print("made", n, time.time() - t, np.bincount([a[1] for a in R], minlength=10), flush=True)


def net():
    import torch.nn as nn

    c = lambda i, o, s: nn.Sequential(nn.Conv2d(i, o, 3, s, 1, bias=False), nn.BatchNorm2d(o), nn.ReLU())
    return nn.Sequential(
        c(3, 24, 1),
        c(24, 32, 2),
        c(32, 48, 2),
        c(48, 64, 2),
        nn.Flatten(),
        nn.Dropout(0.2),
        nn.Linear(64 * 12, 48),
        nn.ReLU(),
        nn.Linear(48, 10),
    )


def spoil(film, tr, dev, train=True):
    """um maps (B,128,96) -> B x 3 x 32 x 24: cover, judged, transfer; as a reading gives them."""
    import torch, torch.nn.functional as F

    B = film.shape[0]
    u = lambda a, b, *s: a + (b - a) * torch.rand(B, *s, device=dev)
    g = lambda n: torch.randn(B, 1, *n, device=dev)
    lim = torch.where(torch.rand(B, device=dev) < 0.7, torch.full((B,), 2.0, device=dev), u(1.2, 4.0)).view(
        -1, 1, 1, 1
    )
    m = torch.sigmoid((film[:, None] - lim) * 4)
    th = torch.zeros(B, 2, 3, device=dev)
    th[:, 0, 0] = 1 + 0.03 * torch.randn(B, device=dev)
    th[:, 1, 1] = 1 + 0.03 * torch.randn(B, device=dev)
    th[:, :, 2] = 0.025 * torch.randn(B, 2, device=dev)
    th[:, 0, 1] = 0.02 * torch.randn(B, device=dev)
    th[:, 1, 0] = 0.02 * torch.randn(B, device=dev)
    fl = torch.where(torch.rand(B, device=dev) < 0.5, 1.0, -1.0)
    th[:, 0] *= fl.view(-1, 1)
    m = F.grid_sample(
        m, F.affine_grid(th, m.shape, align_corners=False), align_corners=False, padding_mode="border"
    )
    k = F.interpolate(g((16, 12)), size=(128, 96), mode="bicubic")
    m = torch.where(
        u(0, 1).view(-1, 1, 1, 1) < 0.25,
        torch.maximum(m, torch.sigmoid((k - u(2.0, 3.2).view(-1, 1, 1, 1)) * 12)),
        m,
    )
    k = F.interpolate(g((12, 9)), size=(128, 96), mode="bicubic")
    m = torch.where(
        u(0, 1).view(-1, 1, 1, 1) < 0.25,
        torch.minimum(m, 1 - torch.sigmoid((k - u(2.0, 3.2).view(-1, 1, 1, 1)) * 12)),
        m,
    )
    s = F.avg_pool2d(F.pad(m, (2, 2, 2, 2), mode="replicate"), 5, 1)
    w = u(0, 1).view(-1, 1, 1, 1)
    m = m * (1 - w) + s * w
    m = torch.sigmoid((m - 0.5 + u(-0.12, 0.12).view(-1, 1, 1, 1)) * u(5, 16).view(-1, 1, 1, 1))
    m = ((m - 0.3) / 0.4).clamp(0, 1)
    j = torch.ones_like(m)
    k = F.interpolate(g((8, 6)), size=(128, 96), mode="bicubic")
    j = torch.where(u(0, 1).view(-1, 1, 1, 1) < 0.3, (k < u(0.9, 2.2).view(-1, 1, 1, 1)).float(), j)
    k = F.interpolate(g((10, 1)), size=(128, 96), mode="bicubic")
    j = torch.where(u(0, 1).view(-1, 1, 1, 1) < 0.12, j * (k < 1.3).float(), j)
    a = F.avg_pool2d(m * j, 4)
    jj = F.avg_pool2d(j, 4)
    return torch.cat([a, jj, tr.float().view(-1, 1, 1, 1).expand(-1, 1, 32, 24)], 1)


# Of each batch, share of maps that readings gave. The rest are simulated, so that plain light stays as well known (tried first).
READ = 0.6


def readings(pairs):
    """Maps that the program made of photos with truth (`what_readings_show`, see trust.py): B x 2 x 32 x 24, transfer, label, borderline."""
    import trust

    rows = []
    for lines, folder in zip(pairs[::2], pairs[1::2]):
        for r, t in trust.with_truth(lines, folder):
            if t["readable"]:
                transfer = r["seen"][r["names"].index("transfer")] > 0.5
                rows.append((np.array(r["asked"], np.uint8).reshape(2, 32, 24), transfer, NAMES.index(t["pattern"]), t["borderline"]))
    return [np.array(c) for c in zip(*rows)]


def asked(maps, transfer):
    """What the judge is asked, of maps in steps of 1/255."""
    import torch

    return torch.cat([maps.float() / 255, transfer.float().view(-1, 1, 1, 1).expand(-1, 1, 32, 24)], 1)


def batches(gaps, read, dev):
    """Simulated maps, newly spoilt each time, and maps that readings gave; a face and its mirror image have one pattern."""
    import torch

    n, real = 256, int(256 * READ) if read else 0
    while True:
        i = torch.randint(0, gaps["y"].shape[0], (n - real,), device=dev)
        x, y, b = spoil(gaps["film"][i].float() / 4, gaps["tr"][i], dev), gaps["y"][i].long(), gaps["b"][i]
        if read:
            maps, transfer, label, borderline = read
            k = torch.randint(0, len(label), (real,), device=dev)
            x, y, b = torch.cat([x, asked(maps[k], transfer[k])]), torch.cat([y, label[k]]), torch.cat([b, borderline[k]])
        mirrored = torch.rand(n, device=dev).view(-1, 1, 1, 1) < 0.5
        yield torch.where(mirrored, x.flip(3), x), y, b


def train(path, val, out, seconds, init="", *pairs):
    """init: judge.onnx to start from; pairs: lines of readings and the folder of their photos, see `readings`."""
    import torch, torch.nn.functional as F

    dev = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(0)
    ld = lambda p: {k: torch.tensor(v, device=dev) for k, v in np.load(p).items()}
    D, Vd = ld(path), ld(val)
    read = [torch.tensor(c, device=dev) for c in readings(pairs)] if pairs else None
    n = net().to(dev)
    if init:
        import warm

        with torch.no_grad():
            warm.load(n, init, spoil(D["film"][:512].float() / 4, D["tr"][:512], dev))
        n.train()
    opt = torch.optim.AdamW(n.parameters(), 2e-3, weight_decay=1e-2)
    t0 = time.time()
    for it, (x, y, b) in enumerate(batches(D, read, dev), 1):
        fr = (time.time() - t0) / seconds
        if fr >= 1:
            break
        for g in opt.param_groups:
            g["lr"] = 2e-3 * (1 - fr) + 1e-5
        l = (F.cross_entropy(n(x), y, reduction="none", label_smoothing=0.02) * torch.where(b, 0.5, 1.0)).mean()
        opt.zero_grad()
        l.backward()
        opt.step()
        if it % 100 == 0:
            print(it, l.item(), flush=True)
    n.eval()
    torch.manual_seed(3)
    with torch.no_grad():
        x = spoil(Vd["film"].float() / 4, Vd["tr"], dev)
        lg = n(x)
    p = lg.softmax(1)
    ok = lg.argmax(1) == Vd["y"]
    cl = ~Vd["b"]
    print("val", it, "clear acc", ok[cl].float().mean().item(), "all", ok.float().mean().item())
    cm = np.zeros((10, 10), int)
    np.add.at(cm, (Vd["y"][cl].cpu().numpy(), lg.argmax(1)[cl].cpu().numpy()), 1)
    print(cm)
    c = p.max(1).values
    for a in (0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98):
        m = c > a
        print(
            a,
            "share",
            m.float().mean().item(),
            "right",
            ok[m].float().mean().item(),
            "clear",
            ok[m & cl].float().mean().item(),
        )
    opp = ((Vd["y"] == 1) & (lg.argmax(1) == 2)) | ((Vd["y"] == 2) & (lg.argmax(1) == 1))
    print("opposite", opp.sum().item())
    nt = (Vd["y"] > 2) & (lg.argmax(1) >= 1) & (lg.argmax(1) <= 2) & (c > 0.8)
    print("taper named for another, sure", nt.sum().item())
    torch.save(n.cpu().state_dict(), out + "/judge.pt")
    torch.onnx.export(
        n,
        torch.rand(1, 3, 32, 24),
        out + "/judge.onnx",
        input_names=["map"],
        output_names=["patterns"],
        opset_version=17,
        dynamo=False,
    )


if __name__ == "__main__":
    if sys.argv[1] == "make":
        make(int(sys.argv[2]), sys.argv[3], int(sys.argv[4]), "--plain" not in sys.argv)
    else:
        train(*sys.argv[2:5], float(sys.argv[5]), *sys.argv[6:])
