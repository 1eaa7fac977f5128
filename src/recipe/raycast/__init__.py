"""A ray-caster of bored jaw-like blocks on the GPU, in torch: batches of pictures with exact truth, everything randomised.

Jaw frame, millimetres: +y to the tip, +z out of the gripping face, +x right with the tip up. The origin is the middle of
the base edge. The front is a height field z = h(x, y); the sides and end faces are the planes of a box.
"""
