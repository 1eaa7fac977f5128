"""Homographies between quads, a batch at a time."""

import torch


def homog(src, dst):
    """(B,4,2) -> (B,3,3) with dst = H src."""
    B = src.shape[0]
    A = torch.zeros(B, 8, 8, device=src.device)
    x, y = src[..., 0], src[..., 1]
    u, v = dst[..., 0], dst[..., 1]
    o = torch.ones_like(x)
    A[:, 0::2, 0], A[:, 0::2, 1], A[:, 0::2, 2] = x, y, o
    A[:, 0::2, 6], A[:, 0::2, 7] = -u * x, -u * y
    A[:, 1::2, 3], A[:, 1::2, 4], A[:, 1::2, 5] = x, y, o
    A[:, 1::2, 6], A[:, 1::2, 7] = -v * x, -v * y
    bb = torch.stack([u, v], -1).reshape(B, 8)
    h = torch.linalg.solve(A + 1e-7 * torch.eye(8, device=A.device), bb[..., None])[..., 0]
    return torch.cat([h, torch.ones(B, 1, device=h.device)], 1).view(B, 3, 3)
