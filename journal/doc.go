// Package journal keeps entries: one SQLite file, append-only, each record
// chained to the one before it by SHA-256. Payroll and quality review rest on
// it, and it lives on a machine that is dropped, drained and switched off: what
// was acknowledged survives, and a change shows.
//
// [Open] opens a file, [Journal.Append] adds drafts and acknowledges them after
// the commit has reached the disk, [Journal.Job] reads a job back, and [View]
// and [Current] replay its corrections. The package neither logs nor prints,
// knows nothing of what an entry implies, and offers no way to change or delete
// a record.
//
// FORMAT.md, beside this file, has it as tables, with the migrations and the
// threats: what is promised to whom, and what is not.
//
// # The file
//
// A SQLite database, mode 0600, in a folder of mode 0700 where the journal made
// it; application_id 0x444C4A31 ("DLJ1"), user_version the number of migrations
// done. It is in write-ahead-log mode, so FILE-wal and FILE-shm belong to it
// while it is open or after a crash; never move the one without the others.
// Beside it lie FILE-clips and FILE-photos, folders of files each named by the
// SHA-256 of what is in it. A symbolic link is followed; a file with a second
// name (a hard link) is refused, as the log would be looked for under one of
// the names only. All tables are STRICT:
//
//	record  seq INTEGER PRIMARY KEY   1, 2, 3 … without gaps
//	        job TEXT                  the job's number, "" for none
//	        kind TEXT                 the entry's kind
//	        clip TEXT                 sum of the kept sound, or NULL
//	        body TEXT                 the canonical text, which is what is hashed
//	        hash BLOB                 32 bytes
//	job     number, start, turn, open, opened, closed, site, site_key
//	word    word, job
//	identity  uuid                    the journal's own, random, made once
//
// record is the journal. Triggers refuse UPDATE, DELETE and any INSERT whose
// seq is not the last one plus one, REPLACE included. job and word are drawn
// from it, for lists and searches, in the same transaction: start and turn are
// the records that started and last started or reopened the job, opened and
// closed are milliseconds since 1970 UTC; word holds what a job can be found by.
//
// # The hash
//
//	hash(0) = 32 zero bytes
//	hash(i) = SHA-256(hash(i-1) || body(i))
//
// with the hash as its 32 bytes and body as its UTF-8 bytes, exactly as they
// lie in the file. body is one JSON object in the canonical form of RFC 8785
// (members sorted, no space, its escapes), and so can be hashed again by any
// program. Its members:
//
//	at           time: RFC 3339, UTC, milliseconds, always 24 characters
//	clip         hex SHA-256 of the kept sound; absent when there is none
//	entry        the entry in its stored form: the machine form of package
//	             grammar with every decimal as a string
//	heard        the recogniser's figures, integers; absent when typed
//	job          the job's number
//	kind         the entry's kind, as in entry
//	line         of the imported text file, from 1 on; absent when not imported
//	offset       seconds east of UTC that the wall clock was set to
//	origin       typed voice import review tool
//	phrase       the words as heard or typed
//	seq          the record's number
//	technician   the name of the one who made the entry; absent when none is set
//	time_source  clock given recording edited
//	unconfirmed  true, or absent
//	zone         IANA name; "" when only the offset is known
//
// Every number in it is an integer of at most 2^53-1: an entry with any other
// is refused, because canonical JSON would round it. Text that is not UTF-8 is
// refused too.
//
// # Time
//
// A record carries the instant, the zone's name, the offset and where the time
// came from. Where a zone's rules have changed since, the stored offset holds,
// as it is what the wall clock showed. Records are ordered by seq and never by
// time: a clock that was set back is a finding ([Jumps], [Journal.Verify]) and
// moves nothing. [LocalTime] turns a wall-clock time into an instant, and says
// so when that night has no such time, or two.
//
// # Jobs and corrections
//
// A start opens a job; a number is started once, and starting it again while it
// is open makes it the current one. A closed job is reopened with the reason.
// Entries may be added to a closed job, as corrections and closeouts are; they
// come after the head that its closeout printed. An unconfirmed entry counts for
// nothing until a correction confirms it, and a close that had to be confirmed
// closes the job from then on. A correction is a record of its
// own and names records of its own job only; see [View] for what each does.
//
// # Several processes
//
// Any number of processes may have a journal open. Appends are immediate
// transactions, so that reading the head and adding to it are one step; who
// waits longer than Options.Wait gets [ErrBusy], and nothing was stored. Readers
// never wait. [Journal.Watch] sees what others add.
//
// No other code of the process may open the database file, not even to copy or
// hash it: on POSIX systems closing any descriptor of a file drops every lock
// that the process holds on it (sqlite.org/howtocorrupt.html, section 2.2).
// Use [Journal.Backup] for a copy.
//
// # Durability
//
// Every connection has synchronous = FULL, foreign keys, recursive triggers and
// a busy timeout in its data source name and is asked for them when it opens. A
// clip or photograph is written and forced to the disk, its name too, before
// the entry that names it. After each commit the file and its log must still be
// the ones at their paths, or the append is not acknowledged ([ErrMoved]). A new
// journal, a backup and a kept file get their names when they are whole.
//
// Tested: killing writers, every call on its files made to fail, cut logs, full
// disk, read-only folder, files that vanish, four writers at once. Not tested: power loss itself, which depends on
// a disk that keeps its word about flushing; quotas, but that their error is
// taken for a full disk; file systems across a network, on which SQLite's log
// must not lie at all.
//
// # What Verify proves
//
// Verify walks the whole chain, compares the columns with the text beside them
// and the drawn tables with the records, runs SQLite's own checks, compares the
// schema with the one the migrations make, hashes every kept file that a record
// names, and looks up the head and count of every closeout. A changed, removed,
// inserted or moved record is found and named.
//
// It does not prove that nothing was cut off at the end, nor that the chain was
// not made anew from some record on: whoever can write the file can do both.
// Only a head and count kept elsewhere show that, and a closeout prints them;
// hand them to Verify. Nor does it prove that what was said is true, or that the
// clock was right. The journal is tamper-evident, not tamper-proof, and not
// secret: it is not encrypted.
//
// # Backup and restore
//
// [Journal.Backup] writes COPY, COPY-clips and COPY-photos. To restore, put them
// where the journal was, under its name: FILE, FILE-clips, FILE-photos, with no
// FILE-wal or FILE-shm left there. Verify then, with the head of the last
// closeout.
//
// # Purge
//
// [Journal.Purge] deletes sound for good. The entry stays as it was, and a
// record says that its sound is gone. Sound is kept in the first place only for
// a job in whose records consent was given ([Journal.PutClip]).
package journal
