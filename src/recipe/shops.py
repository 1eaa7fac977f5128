"""Trains the reader's corners and tip on photos that shops gave away, and reports on shops that it did not see.

shops.py ONNX_DIR OUT PACK... [--seconds S] [--lr LR] [--seed N]
A PACK is a folder that `seepline export --labelled` made: one shop. Every third shop, in an order that its table's content gives, is
kept for the report, at least one; no shop is on both sides. A pack has corners, the tip and what was right, no map of the compound: the
other outputs of the reader are held to what they said before. OUT gets reader.pt, for export.py or for `train.py --init`.
"""

import argparse, csv, hashlib, os, sys, time
import cv2, numpy as np, torch, torch.nn.functional as F

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import losses, nets, warm
from crops import reader_input, side_of
from data import SIDE, canvas, recoloured

CORNERS = ("tip_left", "tip_right", "base_right", "base_left")
OPPOSITE = {"tip-only": "base-only", "base-only": "tip-only"}


def rows(pack):
    with open(os.path.join(pack, "labels.csv"), newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def split(packs):
    """Shops to train on and shops to report on."""
    content = lambda pack: hashlib.sha256(open(os.path.join(pack, "labels.csv"), "rb").read()).hexdigest()
    order = sorted(packs, key=content)
    assert len({content(p) for p in packs}) == len(packs) >= 2, "name two packs or more, each of another shop"
    kept = order[::3]
    return [p for p in order if p not in kept], kept


def photos(packs, dev):
    """Those whose corners somebody gave: pictures in their canvas, the eight points (middles on straight lines between)."""
    Y, M, P = [], [], []
    for pack in packs:
        for row in rows(pack):
            if row["corners_by"] != "given":
                continue
            jpg = open(os.path.join(pack, row["file"]), "rb").read()
            full = cv2.imdecode(np.frombuffer(jpg, np.uint8), 1).shape
            y, (h, w) = canvas(jpg, SIDE)
            at, inside = np.array([(SIDE - w) // 2, (SIDE - h) // 2]), np.zeros((SIDE, SIDE), np.float32)
            inside[at[1] : at[1] + h, at[0] : at[0] + w] = 1
            c = np.array([[float(row[f"{name}_{axis}_px"]) for axis in "xy"] for name in CORNERS]) * [w / full[1], h / full[0]] + at
            Y.append(y), M.append(inside), P.append(np.concatenate([c, (c + np.roll(c, -1, 0)) / 2]))
    assert Y, f"no photo with given corners in {', '.join(packs)}"
    T = lambda x: torch.tensor(np.stack(x), device=dev)
    return dict(y=T(Y).float() / 255, ins=T(M), pts=T(P).float())


def told(reader, D, rounds=4, seed=7):
    """Mean distance of the corners as a share of the face's side, and share of right tips, over crops that are off and turned."""
    off, right = [], []
    torch.manual_seed(seed)
    with torch.no_grad():
        for _ in range(rounds):
            x, q, tip = reader_input(D, turn=0.75, maps=())
            o, v, _ = reader.eval()(x)
            _, at, ok = losses.points(o[:, 2:6], q[:, :4])
            side = side_of(q[:, :4])[:, None]
            off.append((((at - q[:, :4]).norm(dim=-1) / side * ok).sum(1) / ok.sum(1).clamp(min=1)).mean().item())
            right.append((v[:, :4].argmax(1) == tip).float().mean().item())
    return np.mean(off), np.mean(right)


def readings(packs):
    """What the program read beside what was right, shop by shop."""
    for pack in packs:
        known = [r for r in rows(pack) if r["pattern"]]
        count = lambda f: sum(map(f, known))
        print(
            f"  {pack}: {len(known)} photos of which it is known what was right: {count(lambda r: r['read_as'] == r['pattern'])} read so, "
            f"{count(lambda r: OPPOSITE.get(r['read_as']) == r['pattern'])} read as the opposite, "
            f"{count(lambda r: r['read_as'] == 'unreadable' != r['pattern'])} refused"
        )


def train(reader, before, D, a):
    opt = torch.optim.AdamW(reader.parameters(), lr=a.lr, weight_decay=1e-3)
    n, t0, step = len(D["y"]), time.time(), 0
    while (fr := (time.time() - t0) / a.seconds) < 1:
        i = torch.randint(0, n, (min(n, 24),), device=D["y"].device)
        with torch.no_grad():
            b = {k: v[i] for k, v in D.items()}
            b["y"] = recoloured(b["y"])
            x, q, tip = reader_input(b, turn=0.5, maps=())
            o0, v0, _ = before(x)
        # Few photos: the normalisation keeps the statistics of the pictures that the weights are from.
        o, v, _ = reader.eval()(x)
        each, _, ok = losses.points(o[:, 2:6], q[:, :4])
        held = F.mse_loss(o[:, :2], o0[:, :2]) + F.mse_loss(v[:, 4:], v0[:, 4:])
        loss = (each * ok).mean() + 0.5 * F.cross_entropy(v[:, :4], tip) + held
        for g in opt.param_groups:
            g["lr"] = a.lr * min(1, (step + 1) / 20) * (1 - fr) + 1e-6
        opt.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(reader.parameters(), 5.0)
        opt.step()
        step += 1
    return step


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("onnx")
    ap.add_argument("out")
    ap.add_argument("packs", nargs="+")
    ap.add_argument("--seconds", type=float, default=120)
    ap.add_argument("--lr", type=float, default=2e-4)
    ap.add_argument("--seed", type=int, default=1)
    a = ap.parse_args()
    dev = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(a.seed)
    learnt, kept = split(a.packs)
    D, R = photos(learnt, dev), photos(kept, dev)
    reader, before = nets.Reader().to(dev), nets.Reader().to(dev)
    for net in (reader, before):
        warm.load(net, f"{a.onnx}/reader.onnx", reader_input(D, maps=())[0])
    before.eval()
    print(f"trained on {len(D['y'])} photos of {len(learnt)} shops; reported on {len(R['y'])} of {len(kept)} others, with given corners")
    was = [told(before, S) for S in (D, R)]
    steps = train(reader, before, D, a)
    for name, S, (off, right) in zip(("shops trained on", "shops kept"), (D, R), was):
        off_now, right_now = told(reader, S)
        print(f"{name}: corners off by {off:.4f} -> {off_now:.4f} of the face's side, tip right in {right:.3f} -> {right_now:.3f}")
    print(f"{steps} steps. What the program read, in shops kept:")
    readings(kept)
    os.makedirs(a.out, exist_ok=True)
    torch.save(reader.cpu().state_dict(), f"{a.out}/reader.pt")


if __name__ == "__main__":
    main()
