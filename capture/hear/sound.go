package hear

// Rate is the sample rate of the sound that is heard, in samples a second, mono.
const Rate = 16000

// Sound is a stretch of sound as the model's encoder sees it.
type Sound struct {
	n       *Neural
	hidden  []float32 // frames by width
	frames  int64
	seconds float64
	samples int64
}

// Hidden is what the encoder makes of the sound, 288 numbers for every 24 ms. It is not
// to be changed.
func (s *Sound) Hidden() []float32 { return s.hidden }

// Sizes of the model: its width, and the layers, heads and numbers a head of
// its decoder.
const (
	width  = 288
	layers = 6
	heads  = 8
	head   = 36
)

// A stretch is encoded only within these lengths, in seconds: the model was
// made for up to half a minute, and hears nothing in less than a tenth.
const shortestTenths, longest = 1, 30

// Hears reports that so many samples are a length that Encode takes.
func Hears(samples int) bool {
	return samples >= Rate*shortestTenths/10 && samples <= longest*Rate
}
