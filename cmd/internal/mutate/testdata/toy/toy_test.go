package toy

import "testing"

func TestFar(t *testing.T) {
	if Far(1) || !Far(9) {
		t.Fail()
	}
}

func TestBetween(t *testing.T) {
	for n, want := range []bool{false, false, true, true, true, false, false} {
		if Between(n, 2, 4) != want {
			t.Errorf("%d", n)
		}
	}
}

func TestFirst(t *testing.T) {
	if First([]float64{-1, -1, 0, -1}) != 2 || First([]float64{-1}) != 1 || First(nil) != 0 {
		t.Fail()
	}
}
