//go:build long

package circuit

import (
	"flag"
	"testing"
)

// A hundred thousand networks, what TestRandomNetworks asks of a hundred.
func TestRandomNetworksCampaign(t *testing.T) {
	was := flag.Lookup("rapid.checks").Value.String()
	if err := flag.Set("rapid.checks", "100000"); err != nil {
		t.Fatal(err)
	}
	defer flag.Set("rapid.checks", was)
	TestRandomNetworks(t)
}
