package upkeep

// listenExample is the listen.toml that setup writes: nothing in it holds yet.
const listenExample = `# Listening and answering; take the # away from what you want to change.
# "downlead help settings" explains these and the thresholds.

#device = "headset"        # part of the microphone's name
#wake = "okay ladder"      # hear nothing without it; left out, all is heard
#wait = 6                  # seconds that half a phrase waits for the rest

#[voice]
#program = "flite"         # or "espeak-ng"
#volume = 0.8              # 0 to 1
#speed = 1.0               # 0.5 to 2
#device = "headset"        # part of the loudspeaker's name
`
