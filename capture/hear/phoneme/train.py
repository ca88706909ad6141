"""Trains the phoneme layer: arguments are the folder with what the encoder makes of the
phrases (hidden, list.jsonl) and the file to write (phoneme.bin).

One hidden layer over five frames, by connectionist temporal classification: A. Graves et al.,
"Connectionist temporal classification", ICML 2006; the names alpha, beta and occupancy are theirs.
Optimised by Adam (D. Kingma and J. Ba, ICLR 2015) with dropout. Sizes are those of layer.go."""

import json
import pathlib
import sys

import numpy as np

WIDTH, BESIDE, UNITS, CLASSES = 288, 2, 192, 40
EPOCHS, BATCH, RATE, DROP, DECAY = 20, 32, 1.5e-3, 0.15, 1e-3
NEVER = np.float32(-1e30)
random = np.random.default_rng(1)


def stretches(folder):
    """Every stretch as (frames of the encoder, phonemes), those that CTC can align."""
    hidden = np.memmap(folder / "hidden", dtype=np.float32, mode="r").reshape(-1, WIDTH)
    out, at = [], 0
    for line in open(folder / "list.jsonl"):
        item = json.loads(line)
        frames, phonemes = hidden[at:at + item["frames"]], np.array(item["phonemes"])
        at += item["frames"]
        if len(phonemes) and len(frames) >= len(phonemes) + np.sum(phonemes[1:] == phonemes[:-1]):
            out.append((frames.astype(np.float16), phonemes))
    return out


def logsum(*terms):
    most = np.maximum.reduce(terms)
    return np.maximum(most + np.log(sum(np.exp(t - most) for t in terms)), NEVER)


def shifted(table, by):
    """The columns moved to the right; to the left where by is negative."""
    out = np.full_like(table, NEVER)
    if by > 0:
        out[:, by:] = table[:, :-by]
    else:
        out[:, :by] = table[:, -by:]
    return out


def align(log_p, lengths, phonemes):
    """The negative log-likelihood of each stretch, and how much each class occupies each frame."""
    rows, frames, _ = log_p.shape
    row = np.arange(rows)
    ends = np.array([2 * len(p) + 1 for p in phonemes])
    places = np.zeros((rows, ends.max()), int)  # a blank, a phoneme, a blank ...
    for i, p in enumerate(phonemes):
        places[i, 1:2 * len(p):2] = p
    leap = np.zeros(places.shape, bool)  # from one phoneme to another without a blank
    leap[:, 2:] = (places[:, 2:] != 0) & (places[:, 2:] != places[:, :-2])
    leap_back = np.zeros_like(leap)
    leap_back[:, :-2] = leap[:, 2:]
    emitted = np.take_along_axis(log_p, np.repeat(places[:, None, :], frames, 1), 2)
    emitted = np.where((np.arange(places.shape[1]) < ends[:, None])[:, None, :], emitted, NEVER)
    alpha, beta = np.full_like(emitted, NEVER), np.full_like(emitted, NEVER)
    alpha[:, 0, :2] = emitted[:, 0, :2]
    for t in range(1, frames):
        before = alpha[:, t - 1]
        alpha[:, t] = np.maximum(emitted[:, t] + logsum(before, shifted(before, 1), np.where(leap, shifted(before, 2), NEVER)), NEVER)
    last = np.full(places.shape, NEVER, np.float32)
    last[row, ends - 1] = last[row, ends - 2] = 0
    for t in range(frames - 1, -1, -1):
        after = np.full_like(last, NEVER)
        if t < frames - 1:
            after = beta[:, t + 1] + emitted[:, t + 1]
            after = logsum(after, shifted(after, -1), np.where(leap_back, shifted(after, -2), NEVER))
        beta[:, t] = np.where((lengths == t + 1)[:, None], last, after)
    likelihood = np.logaddexp(alpha[row, lengths - 1, ends - 1], alpha[row, lengths - 1, ends - 2])
    share = np.exp(np.minimum(alpha + beta - likelihood[:, None, None], 0))
    occupancy = np.zeros_like(log_p)
    for s in range(places.shape[1]):
        occupancy[row[:, None], np.arange(frames)[None], places[:, s][:, None]] += share[:, :, s]
    return -likelihood, occupancy


def beside(frames, mean, deviation):
    """Frames with their neighbours, each number about 0 and as large as 1."""
    x = np.pad((frames.astype(np.float32) - mean) / deviation, ((BESIDE, BESIDE), (0, 0)), mode="edge")
    return np.concatenate([x[i:i + len(frames)] for i in range(2 * BESIDE + 1)], 1)


def train(data):
    some = np.concatenate([x.astype(np.float32) for x, _ in data[:800]])
    mean, deviation = some.mean(0), some.std(0) + 1e-3
    size = WIDTH * (2 * BESIDE + 1)
    normal = lambda a, b: (random.standard_normal((a, b)) / np.sqrt(a)).astype(np.float32)
    weights = {"in": normal(size, UNITS), "in bias": np.zeros(UNITS, np.float32), "out": normal(UNITS, CLASSES), "out bias": np.zeros(CLASSES, np.float32)}
    first, second = ({k: np.zeros_like(v) for k, v in weights.items()} for _ in range(2))
    step, steps = 0, EPOCHS * -(-len(data) // BATCH)
    for epoch in range(EPOCHS):
        order = random.permutation(len(data))
        # Stretches of about one length together, in any order.
        parts = np.array_split(order, max(1, len(order) // (16 * BATCH)))
        order = np.concatenate([p[np.argsort([len(data[i][0]) for i in p], kind="stable")] for p in parts])
        batches = [order[i:i + BATCH] for i in range(0, len(order), BATCH)]
        total = 0.0
        for b in random.permutation(len(batches)):
            batch = [data[i] for i in batches[b]]
            lengths = np.array([len(x) for x, _ in batch])
            x = np.zeros((len(batch), lengths.max(), size), np.float32)
            for i, (frames, _) in enumerate(batch):
                x[i, :lengths[i]] = beside(frames, mean, deviation)
            x = x.reshape(-1, size)
            units = np.maximum(x @ weights["in"] + weights["in bias"], 0)
            kept = (random.random(units.shape, dtype=np.float32) > DROP).astype(np.float32) / (1 - DROP)
            z = (units * kept) @ weights["out"] + weights["out bias"]
            z -= z.max(1, keepdims=True)
            z -= np.log(np.exp(z).sum(1, keepdims=True))
            log_p = z.reshape(len(batch), -1, CLASSES)
            loss, occupancy = align(log_p, lengths, [p for _, p in batch])
            total += loss.sum()
            real = np.arange(log_p.shape[1])[None] < lengths[:, None]
            down = ((np.exp(log_p) - occupancy) * real[:, :, None] / len(batch)).reshape(-1, CLASSES).astype(np.float32)
            back = (down @ weights["out"].T) * kept * (units > 0)
            slopes = {"out": (units * kept).T @ down, "out bias": down.sum(0), "in": x.T @ back, "in bias": back.sum(0)}
            step += 1
            rate = RATE * min(1, step / 100) * max(0.02, 1 - step / steps)
            for k, slope in slopes.items():
                slope = np.clip(slope, -5, 5)
                first[k] = 0.9 * first[k] + 0.1 * slope
                second[k] = 0.999 * second[k] + 0.001 * slope * slope
                move = first[k] / (1 - 0.9**step) / (np.sqrt(second[k] / (1 - 0.999**step)) + 1e-8)
                weights[k] -= rate * (move + (0 if "bias" in k else DECAY * weights[k]))
        print(f"epoch {epoch + 1}: {total / len(data):.2f} nats a stretch", flush=True)
    # Mean and deviation go into the weights.
    folded = weights["in"] / np.tile(deviation, 2 * BESIDE + 1)[:, None]
    bias = weights["in bias"] - np.tile(mean, 2 * BESIDE + 1) @ rounded(folded)
    return [folded, bias, weights["out"], weights["out bias"]]


def halves(numbers):
    """bfloat16: the upper halves of float32, rounded."""
    bits = np.ascontiguousarray(numbers, dtype=np.float32).view(np.uint32).ravel().astype(np.uint64)
    return ((bits + 0x7FFF + ((bits >> 16) & 1)) >> 16).astype("<u2")


def rounded(numbers):
    return (halves(numbers).astype(np.uint32) << 16).view(np.float32).reshape(numbers.shape)


data = stretches(pathlib.Path(sys.argv[1]))
print(f"{len(data)} stretches")
pathlib.Path(sys.argv[2]).write_bytes(b"".join(halves(part).tobytes() for part in train(data)))
