"""Search for the rank tile of the spatial mix: ``python benchmarks/rank_tile.py [OUT.npy] [--moves N] [--seed N]``.

Without a name it measures the shipped tile. How the search goes, and why:

1. Pixels dispersed like noise, however blue, cannot do it: with about 349 * f of them in a disc the worst of 4096
   places is 4 to 7 pixels out. A lattice whose frequencies fall on the zeros of the disc's own spectrum is far
   better: rows at f = 1/2 are 0.5 pixels out, a quincunx of 2 x 2 at f = 1/4 is 0.75 out.
2. So the tile is filled coset by coset of one lattice: first the order of 64 cosets is annealed (all that matters are
   64 places, since a lattice repeats), then each coset is cut in two, again annealed, to 256.
3. From there each coset is cut in halves down to single pixels, each time along the subgroup and in the order that
   leaves the least in the worst disc.
4. Last, ranks are swapped wherever a disc is still out by more than the bound.

The shipped tile was found by these steps in a compiled form with many more moves than numpy makes in an hour; this
script is their plain statement, and improves on a tile given enough moves.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.support.rank_search import disc, worst_in_discs
from patterns.mix import RANKS, SIDE, rank_tile

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Lattice = tuple[int, int, int]
AREA = int(disc().sum())
SPECTRUM = np.fft.rfft2(disc())
BOUND_PX = AREA / 128


def in_discs(pixels: NDArray[np.bool_] | Floats) -> Floats:
    """Count the lit pixels in the disc round every pixel."""
    return np.asarray(np.fft.irfft2(np.fft.rfft2(pixels) * SPECTRUM, s=(SIDE, SIDE)))


def cosets(lattice: Lattice) -> Ints:
    """Return the coset of each pixel for the lattice of (a, 0) and (b, c): a * c cosets."""
    a, b, c = lattice
    y, x = np.mgrid[0:SIDE, 0:SIDE]
    return np.asarray((y % c) * a + (x - b * (y // c)) % a)


def energy(out: Floats) -> Floats:
    """Weigh how far discs are out: almost nothing below 2.6 pixels, steep above."""
    power8 = (out / 2.6) ** 8
    return power8 * power8 + 0.02 * power8


def anneal(lattice: Lattice, order: Ints, moves: int, temperature: float, rng: np.random.Generator) -> Ints:
    """Swap cosets that are near in the order, at a falling temperature, towards less energy."""
    classes = cosets(lattice)
    count = order.size
    first = np.array([np.flatnonzero(classes.ravel() == k)[0] for k in range(count)])
    own = np.stack([in_discs(classes == k).ravel()[first] - AREA / count for k in range(count)])
    order = order.copy()
    out = np.cumsum(own[order], axis=0)
    for move in range(moves):
        i = int(rng.integers(count - 1))
        j = min(i + 1 + int(rng.integers(1 << int(rng.integers(1, 7)))), count - 1)
        changed = out[i:j] - own[order[i]] + own[order[j]]
        more = float((energy(changed) - energy(out[i:j])).sum())
        heat = temperature * 0.002 ** (move / moves)
        if more <= 0 or rng.random() < np.exp(-more / heat):
            out[i:j] = changed
            order[[i, j]] = order[[j, i]]
    print(f"  {count} cosets: worst {np.abs(out).max():.3f} px")
    return order


def finer(lattice: Lattice, order: Ints, by: Lattice) -> Ints:
    """Cut every coset into the two of a sublattice, side by side in the order."""
    old, new = cosets(lattice).ravel(), cosets(by).ravel()
    return np.array([kid for k in order for kid in np.unique(new[old == k])])


def halves_of(pixels: Ints) -> list[Ints]:
    """Return the halves of a coset that are cosets again (of its subgroups of index two)."""
    y, x = pixels // SIDE, pixels % SIDE
    dy, dx = (y - y[0]) % SIDE, (x - x[0]) % SIDE
    found: dict[bytes, Ints] = {}
    for u in range(SIDE):
        turns = (u * dy[None, :] + np.arange(SIDE)[:, None] * dx[None, :]) % SIDE
        for line in turns[np.isin(turns, (0, SIDE // 2)).all(axis=1)]:
            if line.any():
                half = pixels[line == 0]
                found[half.tobytes()] = half
    return list(found.values())


def cut_down(parts: list[Ints]) -> list[Ints]:
    """Cut cosets in halves down to single pixels, each cut leaving the least in the worst disc."""
    while len(parts) < RANKS:
        share = AREA / len(parts)
        before = np.zeros((SIDE, SIDE))
        finer_parts: list[Ints] = []
        for pixels in parts:
            best = (np.inf, pixels, pixels)
            for half in halves_of(pixels):
                other = np.setdiff1d(pixels, half)
                for one, two in ((half, other), (other, half)):
                    lit = np.zeros(RANKS)
                    lit[one] = 1
                    weight = float(((before + in_discs(lit.reshape(SIDE, SIDE)) - share / 2) ** 8).sum())
                    best = min(best, (weight, one, two), key=lambda found: found[0])
            finer_parts += [best[1], best[2]]
            lit = np.zeros(RANKS)
            lit[pixels] = 1
            before = before + in_discs(lit.reshape(SIDE, SIDE)) - share
        parts = finer_parts
    return parts


def polish(tile: NDArray[np.uint16], moves: int, rng: np.random.Generator) -> NDArray[np.uint16]:
    """Swap pixels of near ranks across the edge of a disc that is out by more than the bound."""
    at = np.argsort(tile.ravel())
    wanted = np.arange(RANKS) * (AREA / RANKS)
    shape = disc()
    touched = [np.flatnonzero(np.roll(shape, (p // SIDE, p % SIDE), (0, 1)).ravel()) for p in range(RANKS)]
    counts = np.zeros((RANKS, RANKS + 1), dtype=np.int16)
    for rank, pixel in enumerate(at):
        counts[touched[pixel], rank + 1] += 1
    out = np.cumsum(counts, axis=1)[:, :RANKS] - wanted
    for _ in range(moves):
        place = int(rng.integers(RANKS))
        wrong = np.flatnonzero(np.abs(out[place]) > BOUND_PX - 0.1)
        if not wrong.size:
            continue
        k = int(rng.choice(wrong))
        surplus = out[place, k] > 0
        inside = np.isin(at, touched[place])
        low = np.flatnonzero(inside[max(k - 60, 0) : k] == surplus) + max(k - 60, 0)
        high = np.flatnonzero(inside[k : k + 60] != surplus) + k
        if not (low.size and high.size):
            continue
        i, j = int(rng.choice(low)), int(rng.choice(high))
        loses, gains = np.setdiff1d(touched[at[i]], touched[at[j]]), np.setdiff1d(touched[at[j]], touched[at[i]])
        old_l, old_g = out[loses, i + 1 : j + 1], out[gains, i + 1 : j + 1]
        more = excess(old_l - 1) - excess(old_l) + excess(old_g + 1) - excess(old_g)
        if more <= 0:
            out[loses, i + 1 : j + 1] -= 1
            out[gains, i + 1 : j + 1] += 1
            at[[i, j]] = at[[j, i]]
    better = np.empty(RANKS, dtype=np.uint16)
    better[at] = np.arange(RANKS)
    return better.reshape(SIDE, SIDE)


def excess(out: Floats) -> float:
    """Sum of squares by which discs are out beyond the bound (a little inside it)."""
    return float((np.maximum(np.abs(out) - BOUND_PX + 0.1, 0) ** 2).sum())


def search(moves: int, seed: int) -> NDArray[np.uint16]:
    """Run all four steps."""
    rng = np.random.default_rng(seed)
    lattice: Lattice = (32, 6, 2)
    order = anneal(lattice, rng.permutation(64), moves, 3.0, rng)
    steps: tuple[Lattice, ...] = ((64, 6, 2), (64, 12, 4))
    for by in steps:
        order = anneal(by, finer(lattice, order, by), moves, 3.0, rng)
        lattice = by
    classes = cosets(lattice).ravel()
    tile = np.empty(RANKS, dtype=np.uint16)
    for rank, pixels in enumerate(cut_down([np.flatnonzero(classes == k) for k in order])):
        tile[pixels] = rank
    say(tile.reshape(SIDE, SIDE), "cut down")
    return polish(tile.reshape(SIDE, SIDE), moves, rng)


def say(tile: NDArray[np.uint16], name: str) -> None:
    """Print how good a tile is."""
    worst = worst_in_discs(tile)
    print(f"{name}: worst 21-px disc {worst.max():.3f} of {AREA} px = 1/{AREA / worst.max():.1f} of a code step")
    print(f"  fractions within 1/128 everywhere: {100 * (worst <= BOUND_PX).mean():.1f} %")
    for diameter in (11, 15, 31, 41):
        area = disc(diameter).sum()
        print(f"  {diameter} px: 1/{area / worst_in_discs(tile, diameter).max():.1f}")


def main() -> None:
    """Search, or measure the shipped tile."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", nargs="?", type=Path)
    parser.add_argument("--moves", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    if given.out is None:
        say(rank_tile(), "shipped tile")
        return
    tile = search(given.moves, given.seed)
    say(tile, "polished")
    np.save(given.out, tile)


if __name__ == "__main__":
    main()
