// Package quality says whether a measured rep can be trusted, and keeps what a person decided about it.
//
// A check asks one question of a rep; it passes, has a finding, or cannot be answered and says why. The worst finding
// makes the verdict: clear, look or redo. A verdict is about a recording, never about an athlete's health, and never
// decides by itself: a person keeps or rejects, and every decision is an event in a history that is only ever added to.
package quality
