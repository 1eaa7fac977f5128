"""Environment maps for the ray-caster, small and with a mean of 1: maps.py OUT.npz FILE..  (.hdr, .exr, or .npy of shape rows x columns x 3)"""

import os, sys
import cv2, numpy as np

H, W = 96, 192  # 1.9 degrees a pixel; the sharpest metal here blurs by more
BRIGHTEST = 200.0  # times the mean: a sun, cut so that one pixel does not make all the light


def load(path):
    if path.endswith(".npy"):
        return np.load(path).astype(np.float32)
    if path.endswith(".exr"):
        import OpenEXR

        c = OpenEXR.File(path).channels()
        return (c.get("RGB") or c.get("RGBA")).pixels[..., :3].astype(np.float32)
    return cv2.imread(path, cv2.IMREAD_UNCHANGED)[..., ::-1].astype(np.float32)


if __name__ == "__main__":
    out = []
    for f in sys.argv[2:]:
        m = np.nan_to_num(load(f), posinf=1e4).clip(0, 1e4)
        m = cv2.resize(m, (W, H), interpolation=cv2.INTER_AREA)
        out.append((m / (m.mean() + 1e-6)).transpose(2, 0, 1).clip(0, BRIGHTEST).astype(np.float16))
    np.savez_compressed(sys.argv[1], maps=np.stack(out))
    print(len(out), "maps")
