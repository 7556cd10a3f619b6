// When a text that was read is a scan, and when it is the one before once more:
// one pull of a trigger may be sent twice, and a camera reads what it is held
// to many times a second.

// The same text is the same scan until it was not seen for a while or another
// text was read in between. `was` goes on from what an earlier page kept of its
// own (JSON of a Repeats); then the times must be of one clock, as Date.now().
export class Repeats {
  constructor(ms = 2000, was = null) {
    this.ms = ms;
    this.text = was?.text;
    this.at = was?.at;
  }

  isNew(text, atMs) {
    // A clock that was set back is no reason to lose a scan.
    const again = text === this.text && Math.abs(atMs - this.at) < this.ms;
    this.text = text;
    this.at = atMs;
    return !again;
  }
}
