// Package heard listens to a neck that was played note by note: it finds the notes of a
// recording, names them by the order they were to be played in, and measures each
// one's pitch, glide, inharmonicity, decay and ring.
//
// It takes samples, full scale 1, and their rate: a whole recording (Find, Name), or
// stretch by stretch as it comes (Follower). What a sound does not tell is left out;
// whether a note buzzes is never told from its sound.
package heard
