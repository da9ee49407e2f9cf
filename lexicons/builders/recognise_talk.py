"""Speaks our own written talks with a synthetic voice, adds workshop noise, and recognises them with an open speech model.

Run by hand, where espeak-ng and the packages faster-whisper, soundfile, scipy and numpy are installed:

    python lexicons/builders/recognise_talk.py OUT MODEL VARIANT

`MODEL` is the folder of a model of faster-whisper, `VARIANT` a number that chooses voices and noise. For each demo talk
and each talk of honest_talk.txt the folder `OUT` gets `NAME_vVARIANT.jsonl`, a transcript with word times and
confidences, and `NAME_vVARIANT.said.jsonl`, one line for each spoken utterance: `said`, `start_s`, `end_s` (true
times), `text` (the recognised words that lie on it), `words` (first and last index + 1 of these in the whole
transcript), `wrong` (1 for each of them that was not said), `wer`, `lost` (share of its content words that were not
recognised), `snr_db` and `noise`. Then recognised_talk.txt is written from all talks of `OUT`.
"""

from __future__ import annotations

import argparse
import io
import json
import random
import re
import subprocess
import zlib
from pathlib import Path

import numpy as np
import soundfile
from build_workshop_words import demo_talks
from recognised_talk import packed
from scipy.signal import butter, resample_poly, sosfilt
from workshop_talk import honest_talks

HERE = Path(__file__).parent

RATE = 16_000
VOICES = ("en-gb", "en-us", "en-gb", "en-us", "en-gb-x-rp", "en-us-nyc", "en-gb-scotland")
TIMBRES = ("", "", "", "+m3", "+m7", "+f2", "+f4")
#: Signal-to-noise ratios in dB and how often: good, middling, very low.
LEVELS = ((22.0, 34.0, 0.64), (8.0, 16.0, 0.19), (-2.0, 7.0, 0.17))
#: What a radio says in the background.
RADIO = """
And now the weather for the weekend, mostly dry with some cloud coming in from the west.
You can call us any time before nine and win two tickets for the concert.
The bus drivers have agreed to go back to work on Monday after talks last night.
That was the new single, and it has been number one in the charts for six weeks.
How are you this morning, and where are you calling from?
The minister said that she would not be resigning over the letter.
There are long queues on the ring road after a lorry shed its load.
I had a lovely time with my sister, we went to the market and bought some cheese.
He takes it down the left wing, he looks up, and it's over the bar.
Put the onions in the pan, let them go soft and then add the rice.
We'll be right back after the news and the traffic.
It's a quarter past ten and you are listening to the morning show.
My grandmother used to tell us that story every winter by the fire.
They lost by three wickets in the end, but it was close.
Interest rates will stay where they are until the spring at least.
Good morning to everyone who is working outside today, stay warm.
The film opens on Friday and I have to say that I laughed all the way through.
If you want to learn a language, start with the songs.
""".strip().splitlines()

_ONES = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
         "seventeen eighteen nineteen").split()  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_UNITS = {"nm": ["newton", "meters"], "mm": ["millimeter"], "cm": ["centimeter"], "ml": ["milliliter"],
          "%": ["percent"], "°": ["degrees"], "ok": ["okay"], "gonna": ["going", "to"],
          "&": ["and"], "ft": ["foot"], "lb": ["pounds"], "kg": ["kilos"]}  # fmt: skip
_SMALL = frozenset(
    "a an the and or but so if then that this these those it its it's he she they them we us you your i i'm i've is are "
    "was were be been am do does did don't has have had can will would should could may might must to of in on at by for "
    "with from as up off out down over into onto not no there there's here now just what which who when where how all "
    "some any one two three four five six seven eight nine ten you're you'll we're that's what's".split()
)


def number_words(digits: str) -> list[str]:
    """A number in figures as spoken words without "and"."""
    whole, _, rest = digits.partition(".")
    value, found = int(whole or 0), []
    if value >= 1000:
        found, value = [*number_words(str(value // 1000)), "thousand"], value % 1000
    if value >= 100:
        found, value = [*found, _ONES[value // 100], "hundred"], value % 100
    if value >= 20:
        found, value = [*found, _TENS[value // 10]], value % 10
    if value or not found:
        found = [*found, _ONES[value]]
    return [*found, "point", *(_ONES[int(d)] for d in rest)] if rest else found


def level(text: str) -> list[str]:
    """The words of a text with numbers, units and spelling levelled, for comparing."""
    found: list[str] = []
    for piece in re.findall(r"\d+(?:\.\d+)?|[a-z]+(?:['’][a-z]+)*|[%°&]", text.lower().replace(",000", "000")):
        piece = piece.replace("’", "'")
        if piece[0].isdigit():
            found += number_words(piece)
        elif piece in _UNITS:
            found += _UNITS[piece]
        else:
            piece = (
                piece.replace("metre", "meter")
                .replace("litre", "liter")
                .replace("colour", "color")
                .replace("tyre", "tire")
            )
            piece = re.sub(r"^(milli|centi)(meter|liter)s$", r"\1\2", piece)
            found.append(re.sub(r"(?<=\w{3})is(e[sd]?|ing)$", r"iz\1", piece).replace("aluminium", "aluminum"))
    return found


def speak(text: str, voice: str, pace: int, pitch: int) -> np.ndarray:
    """Samples of a spoken text at `RATE`, peak about 1, without the silence at its ends."""
    command = ["espeak-ng", "-v", voice, "-s", str(pace), "-p", str(pitch), "--stdout", "--", text]
    sound, rate = soundfile.read(io.BytesIO(subprocess.run(command, capture_output=True, check=True).stdout))
    sound = resample_poly(sound, 320, 441) if rate == 22_050 else resample_poly(sound, RATE, rate)
    loud = np.flatnonzero(np.abs(sound) > 0.01)
    sound = sound[loud[0] : loud[-1] + 1] if len(loud) else sound
    return sound / (np.abs(sound).max() + 1e-9)


def pink(size: int, noise: np.random.Generator) -> np.ndarray:
    """Noise whose power falls with the frequency, root mean square 1."""
    spectrum = np.fft.rfft(noise.standard_normal(size))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 1.0))
    found = np.fft.irfft(spectrum, size)
    return found / (found.std() + 1e-9)


def hammer(size: int, noise: np.random.Generator) -> np.ndarray:
    """Blows that ring out, two to four a second."""
    found, at = np.zeros(size), int(noise.integers(0, RATE // 3))
    ring = noise.uniform(900, 3200)
    while at < size:
        length = min(size - at, RATE // 6)
        t = np.arange(length) / RATE
        found[at : at + length] += np.exp(-t * 28) * (np.sin(2 * np.pi * ring * t) + noise.standard_normal(length))
        at += int(RATE / noise.uniform(2, 4))
    return found / (found.std() + 1e-9)


def grinder(size: int, noise: np.random.Generator) -> np.ndarray:
    """A whine with harmonics and hiss that swells and falls."""
    t = np.arange(size) / RATE
    tone = noise.uniform(250, 700) * (1 + 0.05 * np.sin(2 * np.pi * noise.uniform(0.2, 1.0) * t))
    phase = 2 * np.pi * np.cumsum(tone) / RATE
    found = sum(np.sin(k * phase) / k for k in range(1, 7)) + 0.8 * noise.standard_normal(size)
    found *= 0.6 + 0.4 * np.sin(2 * np.pi * noise.uniform(0.3, 1.5) * t)
    return found / (found.std() + 1e-9)


def radio(size: int, pick: random.Random) -> np.ndarray:
    """One or two other voices."""
    found = np.zeros(size)
    for _ in range(pick.choice((1, 1, 2))):
        at = 0
        while at < size:
            voice = speak(pick.choice(RADIO), pick.choice(VOICES) + pick.choice(TIMBRES), pick.randint(150, 190), 50)
            length = min(len(voice), size - at)
            found[at : at + length] += voice[:length]
            at += length + RATE // 5
    found = sosfilt(butter(2, (300, 3500), "band", fs=RATE, output="sos"), found)
    return found / (found.std() + 1e-9)


def make_sound(lines: list[str], pick: random.Random, noise: np.random.Generator) -> tuple[np.ndarray, list[dict]]:
    """The spoken talk with noise, and for each line its `start_s`, `end_s` and `snr_db`."""
    voices = [pick.choice(VOICES) + pick.choice(TIMBRES)]
    if pick.random() < 0.25:
        voices.append(pick.choice(VOICES) + pick.choice(TIMBRES))
    pace, pitch = pick.randint(140, 168), pick.randint(35, 60)
    bad = pick.uniform(0.4, 1.1)
    pieces, spoken, clock = [], [], 0.0
    for line in lines:
        gap = np.zeros(int(RATE * (pick.uniform(4, 9) if pick.random() < 0.03 else pick.uniform(0.3, 0.9))))
        sound = speak(line, pick.choice(voices), pace + pick.randint(-6, 10), pitch)
        weights = (LEVELS[0][2], LEVELS[1][2] * bad, LEVELS[2][2] * bad)
        low, high, _ = pick.choices(LEVELS, weights)[0]
        snr = pick.uniform(low, high)
        if snr < 16 and pick.random() < 0.5:
            edges = (pick.uniform(200, 500), pick.uniform(1400, 3000))
            sound = sosfilt(butter(3, edges, "band", fs=RATE, output="sos"), sound)
        if snr < 16 and pick.random() < 0.25:
            sound = np.clip(sound * pick.uniform(4, 12), -1, 1) * 0.5
        kind = pick.choices(("pink", "hammer", "grinder", "radio"), (3, 2, 3, 3))[0]
        made = {
            "pink": lambda n: pink(n, noise), "hammer": lambda n: hammer(n, noise),
            "grinder": lambda n: grinder(n, noise), "radio": lambda n: radio(n, pick),
        }[kind](len(sound))  # fmt: skip
        scale = sound.std() / 10 ** (snr / 20)
        clock += len(gap) / RATE
        pieces += [gap, 0.35 * (sound + scale * made)]
        spoken.append({"said": line, "start_s": round(clock, 3), "end_s": round(clock + len(sound) / RATE, 3),
                       "snr_db": round(snr, 1), "noise": kind})  # fmt: skip
        clock += len(sound) / RATE
    sound = np.concatenate([*pieces, np.zeros(RATE)])
    sound += pink(len(sound), noise) * 10 ** (-pick.uniform(42, 52) / 20)
    return np.clip(sound, -1, 1).astype(np.float32), spoken


def recognise(model, sound: np.ndarray, pick: random.Random) -> list[dict]:
    """Segments as a recogniser writes them."""
    segments, _ = model.transcribe(
        sound, language="en", word_timestamps=True, beam_size=pick.choice((1, 3, 5)),
        condition_on_previous_text=pick.random() < 0.7, vad_filter=pick.random() < 0.3,
    )  # fmt: skip
    found = []
    for segment in segments:
        words: list[dict] = []
        for w in segment.words or []:
            if not w.word.strip():
                continue
            if words and not w.word.startswith(" "):  # "-hand": the rest of a word
                words[-1]["word"] += w.word.strip()
                words[-1]["end"] = round(w.end, 2)
                words[-1]["confidence"] = min(words[-1]["confidence"], round(float(w.probability), 3))
                continue
            words.append({"word": w.word.strip(), "start": round(w.start, 2), "end": round(w.end, 2),
                          "confidence": round(float(w.probability), 3)})  # fmt: skip
        if words:
            found.append({
                "start": words[0]["start"], "end": words[-1]["end"], "text": " ".join(w["word"] for w in words),
                "confidence": round(sum(w["confidence"] for w in words) / len(words), 3), "words": words,
            })  # fmt: skip
    return found


def align(spoken: list[dict], segments: list[dict]) -> list[dict]:
    """What was recognised of each spoken line: words are aligned by edit distance, and by their times."""
    true = [(w, n) for n, line in enumerate(spoken) for w in level(line["said"])]
    words = [w for s in segments for w in s["words"]]
    heard = [(t, at) for at, w in enumerate(words) for t in level(w["word"]) or [""]]
    starts = np.array([spoken[n]["start_s"] for _, n in true])
    ends = np.array([spoken[n]["end_s"] for _, n in true])
    rows, columns = len(true), len(heard)
    cost = np.zeros((rows + 1, columns + 1))
    back = np.zeros((rows + 1, columns + 1), np.int8)
    cost[:, 0] = np.arange(rows + 1)
    cost[0] = np.arange(columns + 1)
    back[:, 0], back[0, 1:] = 1, 2
    for j in range(1, columns + 1):
        word, at = heard[j - 1]
        middle = (words[at]["start"] + words[at]["end"]) / 2
        apart = np.maximum(0, np.maximum(starts - middle, middle - ends) - 0.4)
        match = np.array([0.0 if t == word else 1.1 for t, _ in true]) + np.minimum(2.5, apart * 1.5)
        for i in range(1, rows + 1):
            best = (cost[i - 1, j - 1] + match[i - 1], cost[i - 1, j] + 1, cost[i, j - 1] + 1)
            back[i, j] = min((0, 1, 2), key=best.__getitem__)
            cost[i, j] = best[back[i, j]]
    line_of: list[int | None] = [None] * len(words)
    right = [False] * len(words)
    errors = [0] * len(spoken)
    kept: set[int] = set()
    i, j = rows, columns
    inserted = []
    while i or j:
        move = back[i, j]
        if move == 0:
            at, line = heard[j - 1][1], true[i - 1][1]
            line_of[at] = line
            if heard[j - 1][0] == true[i - 1][0]:
                right[at] = True
                kept.add(i - 1)
            else:
                errors[line] += 1
            i, j = i - 1, j - 1
        elif move == 1:
            errors[true[i - 1][1]] += 1
            i -= 1
        else:
            inserted.append(heard[j - 1][1])
            j -= 1
    # An inserted word goes to the line that its time lies nearest to, between those of its neighbours.
    known = [n for n in line_of]
    for at in sorted(set(inserted)):
        if line_of[at] is not None:
            errors[line_of[at]] += 1
            continue
        low = next((n for n in reversed(line_of[:at]) if n is not None), 0)
        high = next((n for n in known[at:] if n is not None), len(spoken) - 1)
        middle = (words[at]["start"] + words[at]["end"]) / 2
        line = min(
            range(low, high + 1), key=lambda n: max(0, spoken[n]["start_s"] - middle, middle - spoken[n]["end_s"])
        )
        line_of[at] = line
        errors[line] += 1
    found = []
    for n, line in enumerate(spoken):
        mine = [at for at, m in enumerate(line_of) if m == n]
        places = [k for k, (_, m) in enumerate(true) if m == n]
        content = [k for k in places if true[k][0] not in _SMALL]
        found.append({
            **{k: line[k] for k in ("start_s", "end_s", "said")}, "text": " ".join(words[at]["word"] for at in mine),
            "words": [mine[0], mine[-1] + 1] if mine else None, "wrong": [int(not right[at]) for at in mine],
            "wer": round(errors[n] / max(1, len(places)), 3),
            "lost": round(sum(k not in kept for k in content) / max(1, len(content)), 3),
            "snr_db": line["snr_db"], "noise": line["noise"],
        })  # fmt: skip
    return found


def written_talks() -> dict[str, list[str]]:
    """Name and utterances of each talk that is spoken."""
    heads = [line for line in (HERE / "honest_talk.txt").read_text("utf-8").splitlines() if line.startswith("==")]
    names = ["honest_" + head.strip("= ").replace(" ", "_") for head in heads]
    return demo_talks() | dict(zip(names, honest_talks(), strict=True))


def pack(folder: Path) -> None:
    """Write recognised_talk.txt from the talks of a folder."""
    text = "# Our own talks, spoken by a synthetic voice in noise and recognised; made by recognise_talk.py.\n"
    for path in sorted(folder.glob("*.said.jsonl")):
        name, variant = path.name.removesuffix(".said.jsonl").rsplit("_v", 1)
        segments = (folder / path.name.replace(".said", "")).read_text("utf-8").splitlines()
        words = [word for row in segments for word in json.loads(row)["words"]]
        said = [json.loads(row) for row in path.read_text("utf-8").splitlines()]
        text += packed(name.replace("_", " "), variant, said, words)
    (HERE / "recognised_talk.txt").write_text(text, "utf-8")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("out", type=Path)
    parser.add_argument("model", type=Path)
    parser.add_argument("variant", type=int)
    given = parser.parse_args()
    from faster_whisper import WhisperModel

    model = WhisperModel(str(given.model), device="cpu", compute_type="int8", cpu_threads=1)
    given.out.mkdir(parents=True, exist_ok=True)
    for name, lines in written_talks().items():
        target = f"{name}_v{given.variant}"
        seed = zlib.crc32(target.encode())
        pick, noise = random.Random(seed), np.random.default_rng(seed)
        sound, spoken = make_sound(lines, pick, noise)
        segments = recognise(model, sound, pick)
        for suffix, rows in (("jsonl", segments), ("said.jsonl", align(spoken, segments))):
            text = "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows)
            (given.out / f"{target}.{suffix}").write_text(text, "utf-8")
    pack(given.out)


if __name__ == "__main__":
    main()
