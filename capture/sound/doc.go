// Package sound is where sound comes from and where it goes: files, the
// microphone, the loudspeaker, all as 16 kHz mono samples of 16 bits.
//
// WAV, FLAC and MP3 files are read here; other kinds through the program ffmpeg.
// The sound devices are reached through malgo.
package sound
