package main

import (
	"github.com/spf13/cobra"
)

// topics are help pages that are no commands.
func topics() []*cobra.Command {
	page := func(name, short, text string) *cobra.Command {
		return &cobra.Command{Use: name, Short: short, Long: text}
	}
	return []*cobra.Command{
		page("exit-codes", "What the exit codes mean", `Exit codes, the same for every command:

  0    done
  1    failed; the message says what and what to do
  2    wrong command line
  3    a phrase was not understood (it is kept, unless there is no job)
  4    the journal, or an archive, is not intact
  5    another process kept the journal busy too long
  130  interrupted

Codes are only ever added. Take one that is not in this list as failed.`),
		page("files", "Where things are kept", `Files, by the XDG Base Directory Specification:

  $XDG_DATA_HOME/downlead/journal.db    the journal (default ~/.local/share)
  …/journal.db-clips, …/journal.db-photos   kept sound and photographs
  $XDG_CONFIG_HOME/downlead/words.toml  your own words (default ~/.config)
  $XDG_CONFIG_HOME/downlead/technician.toml   name, threshold, zone (setup)
  $XDG_CONFIG_HOME/downlead/tables.toml losses, spreads, odds, minutes
  $XDG_CONFIG_HOME/downlead/rates.toml  pay rates
  $XDG_CONFIG_HOME/downlead/listen.toml microphone, voice and thresholds
  $XDG_CACHE_HOME/downlead/             what may be thrown away (default ~/.cache)

The journal is one file, readable by you alone. --journal FILE or the variable
DOWNLEAD_JOURNAL names another. Nothing is ever sent anywhere.`),
		page("settings", "The settings of listen, in listen.toml", `listen.toml in the config folder; every line may be left out:

  device = "headset"        # part of the microphone's name
  wake = "okay ladder"      # hear nothing without it; leave out to hear always
  wait = 6                  # seconds that half a phrase waits for the rest

  [voice]
  program = "flite"         # or "espeak-ng"
  volume = 0.8              # 0 to 1
  speed = 1.0               # 0.5 to 2
  device = "headset"        # part of the loudspeaker's name

  [thresholds]              # when a phrase is accepted, asked about, ignored
  grammar = -48.0           # scores a frame; see: downlead doctor --calibrate
  ratio = -36.0
  worst_word = -80.0
  short_grammar = -44.0     # of three words or less
  short_ratio = -30.0       # of three words; two words need 2 more, one 4
  short_covered = 0.75      # the share of them in the time; less is no phrase
  covered = 0.6             # of more words
  margin = 250.0            # against the next best number or verdict
  snr = 26.0                # dB
  quiet_snr = 40.0          # dB, from here on
  quiet_margin = -400.0     # this will do, if heard alike twice more
  ask_grammar = -55.0       # below these it is taken for other speech
  ask_ratio = -43.0
  ask_worst_word = -100.0

A phrase between the limits for asking and for accepting is asked about.
"downlead doctor --mic" says whether the microphone is good enough.`),
		page("environment", "The environment variables", `Environment variables:

  DOWNLEAD_JOURNAL   the journal file
  DOWNLEAD_TECHNICIAN   the technician's name
  XDG_DATA_HOME, XDG_CONFIG_HOME   see: downlead help files
  TZ                 the zone that times are kept in, as an IANA name
  PULSE_SERVER, ALSA_CONFIG_PATH   honoured by the sound system

Output has no colour, so NO_COLOR has nothing to turn off.`),
		page("speaking", "How to speak to it, and how to be safe doing so", `Speak as you would to a colleague who writes: the point, the verdict, the number.

  "ground block dish side, pass, minus forty one"
  "receiver side, fail, minus fifty four"        the same element as before
  "behind receiver two, pass, minus forty six, strength seventy nine"
  "scratch that"     "correct that, minus forty three"     "what next"

Every number is read back. When something is not sure you are asked, and answer
yes, no, or the number again. What is not answered is kept and counts for nothing.

Your hands and eyes belong to the ladder. Say "pause" before you climb where talk
could be taken for readings. The microphone may take in other people; the law on
consent to recording differs by place. Sound is not kept unless "recording is
fine" was said for the job, and "stop recording" ends it.`),
	}
}
