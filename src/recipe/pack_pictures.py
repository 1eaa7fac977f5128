"""Packs pictures without a jaw for the training machine: small, so many of each source at most. pack_pictures.py OUT DIR MOST [SIDE QUALITY] [--from N] [--every N]

DIR holds one folder a source. Sources count alike up to MOST, so that a large one does not crowd out the others. --from: leaves the first N of each out, which others train on.
--every: takes every Nth source, by name.
"""

import os, pickle, random, sys
import cv2


def small(path, side, quality):
    im = cv2.imread(path)
    if im is None or min(im.shape[:2]) < 100:
        return None
    k = side / max(im.shape[:2])
    im = cv2.resize(im, None, fx=k, fy=k, interpolation=cv2.INTER_AREA) if k < 1 else im
    return cv2.imencode(".webp", im, [cv2.IMWRITE_WEBP_QUALITY, quality])[1].tobytes()


if __name__ == "__main__":
    out, top, most = sys.argv[1], sys.argv[2], int(sys.argv[3])
    first = int(sys.argv[sys.argv.index("--from") + 1]) if "--from" in sys.argv else 0
    every = int(sys.argv[sys.argv.index("--every") + 1]) if "--every" in sys.argv else 1
    side, quality = (int(v) for v in sys.argv[4:6]) if len(sys.argv) > 5 else (448, 52)
    random.seed(1)
    packed = []
    for source in sorted(os.listdir(top))[::every]:
        names = sorted(os.listdir(os.path.join(top, source)))
        random.shuffle(names)
        for n in names[first : first + most]:
            jpg = small(os.path.join(top, source, n), side, quality)
            if jpg:
                packed.append(dict(jpg=jpg, source=source))
    pickle.dump(packed, open(out, "wb"))
    print(len(packed), "pictures", os.path.getsize(out) / 1e6, "MB")
