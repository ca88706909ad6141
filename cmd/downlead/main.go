// Command downlead is a voice-and-notes field logger for the repair of
// satellite-television reception in homes.
package main

func main() {}
