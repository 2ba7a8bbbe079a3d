package base

// TubDigit is the tub that a digit key chooses: 1 … 9, 0 for the tenth.
func TubDigit(k string) (int, bool) {
	if len(k) != 1 || k[0] < '0' || k[0] > '9' {
		return 0, false
	}
	return (int(k[0]-'0') + 9) % 10, true
}
