package catalogue

import "testing"

func TestX(t *testing.T) {
	Starter()
	BenchBrief()
	BrightBrief()
	FirstLamp()
}
