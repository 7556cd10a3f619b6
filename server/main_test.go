package server

import (
	"flag"
	"os"
	"runtime"
	"strconv"
	"testing"
)

// atOnce is how many tests run at once where nobody said: those in a browser
// wait most of the time, for a hand to type or a page to load.
const atOnce = 4

func TestMain(m *testing.M) {
	flag.Parse()
	said := false
	flag.Visit(func(f *flag.Flag) { said = said || f.Name == "test.parallel" })
	if !said {
		if err := flag.Set("test.parallel", strconv.Itoa(max(atOnce, runtime.GOMAXPROCS(0)))); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
