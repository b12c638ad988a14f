// Package record turns files from force plates into recordings. It reads delimited text in any of the usual dialects
// and C3D, plain or packed with gzip, and chooses by content, never by the file's ending.
//
// The work is split in three: package table finds the numbers in a text, package c3d takes a C3D file apart, and this
// package gives the numbers their meaning: which column is time and which force, in what unit, which side, at what rate,
// which way is up. It decides from names first and from physics second (an athlete stands on the plates with 200 to
// 3000 N, clocks rise evenly). Where two meanings both make sense it refuses the file, names both, and says which line
// of settings decides. A Layout is such a decision for all files with the same header.
//
// What comes out is in newtons, upward positive, on an even clock, NaN where a sample is missing.
package record
