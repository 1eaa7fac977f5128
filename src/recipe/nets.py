"""The small convolutional networks: the finder (whole picture), the reader (the face, roughly rectified) and the seam network."""

import torch, torch.nn as nn, torch.nn.functional as F

CROP, MARGIN = 192, 0.15  # side of the reader's crop, and the border around the face as a share of it
QUALITY = ["ok", "blurred", "dark", "burnt", "glare", "hidden", "smeared"]
BLURRED, DARK, BURNT, HIDDEN, SMEARED = 1, 2, 3, 5, 6


def cbr(i, o, s=1, k=3):
    return nn.Sequential(nn.Conv2d(i, o, k, s, k // 2, bias=False), nn.BatchNorm2d(o), nn.ReLU(True))


class Res(nn.Module):
    def __init__(s, c):
        super().__init__()
        s.a = cbr(c, c)
        s.b = nn.Sequential(nn.Conv2d(c, c, 3, 1, 1, bias=False), nn.BatchNorm2d(c))

    def forward(s, x):
        return torch.relu(x + s.b(s.a(x)))


class UNet(nn.Module):
    """Encoder-decoder; skips are added. Output stride 2**(out_level + 1); also the mean of the deepest features. `deep`: residual blocks
    a level, below the first two."""

    def __init__(s, chans, out_level, outs, deep=1):
        super().__init__()
        s.out_level = out_level
        s.stem = cbr(3, chans[0], 2)
        s.down = nn.ModuleList()
        s.lat = nn.ModuleList()
        s.dec = nn.ModuleList()
        for i, (a, b) in enumerate(zip(chans[:-1], chans[1:])):
            s.down.append(nn.Sequential(cbr(a, b, 2), *[Res(b) for _ in range(deep if i else 1)]))
        for i in range(len(chans) - 1, out_level, -1):
            s.lat.append(nn.Conv2d(chans[i], chans[i - 1], 1))
            s.dec.append(cbr(chans[i - 1], chans[i - 1]))
        s.head = nn.Sequential(cbr(chans[out_level], chans[out_level]), nn.Conv2d(chans[out_level], outs, 1))
        s.ctx = nn.Linear(chans[-1], chans[-1])

    def forward(s, x):
        f = [s.stem(x)]
        for d in s.down:
            f.append(d(f[-1]))
        g = f[-1].mean((2, 3))
        y = torch.relu(f[-1] + s.ctx(g)[..., None, None])
        for i, (l, d) in enumerate(zip(s.lat, s.dec)):
            y = d(F.interpolate(l(y), scale_factor=2.0, mode="nearest") + f[-2 - i])
        return s.head(y), g


class Finder(nn.Module):
    """3 x H x W (multiples of 32) -> 4 maps at stride 4: face, corner, tip direction x, y."""

    def __init__(s, ch=(16, 24, 40, 64, 96)):
        super().__init__()
        s.u = UNet(ch, 1, 4)

    def forward(s, x):
        return s.u(x)[0]


class Reader(nn.Module):
    """3 x 192 x 192 -> 10 maps at stride 2: face, compound, 8 points (corners, middles of tip, right, base, left edge);
    4 + 1 + 7 + 1 + 1 values: side of the tip, painted seam, quality, whether this is a jaw's face at all, whether paint and metal
    are too alike to tell apart; and the 96 features that the values rest on."""

    SEAM, JAW, ALIKE = 4, 12, 13

    def __init__(s, ch=(16, 24, 40, 64, 96), values=14):
        super().__init__()
        s.u = UNet(ch, 0, 10)
        s.fc = nn.Sequential(nn.Linear(ch[-1], 64), nn.ReLU(), nn.Linear(64, values))

    def forward(s, x):
        m, g = s.u(x)
        return m, s.fc(g), g


class Film(nn.Module):
    """The reader's crop, as the settled corners give it -> compound, a map at stride 2. Twice the reader's size, for the one question
    that decides the answer; asked once a photo."""

    def __init__(s, ch=(20, 32, 56, 80, 96)):
        super().__init__()
        s.u = UNet(ch, 0, 1, deep=2)

    def forward(s, x):
        return s.u(x)[0]


RING = 0.16  # how far into the face the seam network sees, as a share of the face's side


class Seam(nn.Module):
    """The reader's crop -> painted seam, jaw. The middle of the face is hidden, so that neither the pattern nor the film's texture
    can stand for the seam."""

    def __init__(s, ch=(12, 20, 32, 40), values=2):
        super().__init__()
        a, b, c, d = ch
        s.f = nn.Sequential(
            cbr(3, a, 2), cbr(a, b, 2), Res(b), cbr(b, c, 2), Res(c), cbr(c, d, 2), Res(d), nn.AvgPool2d(3)
        )
        s.h = nn.Sequential(nn.Flatten(), nn.Linear(d * 16, 32), nn.ReLU(), nn.Dropout(0.2), nn.Linear(32, values))
        i = round(CROP * (MARGIN + RING * (1 - 2 * MARGIN)))
        inner = torch.zeros(CROP)
        inner[i:-i] = 1
        s.register_buffer("inner", inner)

    def forward(s, x):
        z = x - 0.5
        # One side after the other, or the export would store the mask as a picture of its own.
        return s.h(s.f(z - z * s.inner.view(1, 1, -1, 1) * s.inner.view(1, 1, 1, -1)))
