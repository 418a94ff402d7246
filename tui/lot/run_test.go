package lot

import (
	"os"
	"testing"

	"pullcard/patterns/sweep"
)

func TestMain(m *testing.M) { os.Exit(sweep.Run(m)) }
