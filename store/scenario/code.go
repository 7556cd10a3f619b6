package scenario

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"sinterbook/store/shop"
)

// codeFor makes the scan code of a thing out of its number, so that loading a
// folder twice gives the same labels. Only digits are used for the payload;
// one in nine draws has a check character that is never issued.
func codeFor(kind, number string) shop.ScanCode {
	for try := 0; ; try++ {
		sum := sha256.Sum256(fmt.Appendf(nil, "%s/%s/%d", kind, number, try))
		payload := fmt.Sprintf("%09d", binary.BigEndian.Uint64(sum[:])%1_000_000_000)
		for _, check := range "0123456789ABCDEFGHJKLMNPRSTUVWXY" {
			if code, ok := shop.ParseScanCode(payload + string(check)); ok {
				return code
			}
		}
	}
}
