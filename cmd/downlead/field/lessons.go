package field

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose/fault"
	"downlead/journal"
	"downlead/journal/record"
)

// keptLesson is what a job taught when this was its last record.
type keptLesson struct {
	Head   record.Hash  `json:"head"`
	Lesson fault.Lesson `json:"lesson"`
}

// lessonFile keeps lessons between two commands: to read and fold 500 jobs again
// takes longer than all the rest of an answer. It may be lost or thrown away.
type lessonFile struct {
	Program string                `json:"program"` // which drew the lessons: another may draw others
	Jobs    map[string]keptLesson `json:"jobs"`
}

// lessons are those of the newest closed jobs but the one at hand. Only jobs that
// were added to since the last command are read.
func lessons(ctx context.Context, e *cli.Env, j *journal.Journal, number string) ([]fault.Lesson, error) {
	recent, err := j.Recent(ctx, learnFrom)
	if err != nil {
		return nil, err
	}
	id, err := j.Identity(ctx)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(e.Folder("XDG_CACHE_HOME", ".cache"), "lessons-"+id+".json")
	old := readLessons(path)
	kept := lessonFile{Program: program(), Jobs: map[string]keptLesson{}}
	if old.Program != kept.Program {
		old.Jobs = nil
	}
	changed := len(old.Jobs) == 0
	var out []fault.Lesson
	for _, s := range recent {
		if s.Open {
			continue
		}
		k, ok := old.Jobs[s.Number]
		if !ok || k.Head != s.Head {
			records, err := j.Job(ctx, s.Number)
			if err != nil {
				return nil, err
			}
			k, changed = keptLesson{s.Head, fault.LessonOf(records)}, true
		}
		kept.Jobs[s.Number] = k
		if s.Number != number {
			out = append(out, k.Lesson)
		}
	}
	if changed && id != "" && len(kept.Jobs) > 0 {
		writeLessons(path, kept)
	}
	return out, nil
}

func readLessons(path string) (f lessonFile) {
	b, err := os.ReadFile(path)
	if err != nil || json.Unmarshal(b, &f) != nil {
		return lessonFile{}
	}
	return f
}

// writeLessons keeps the file if it can: without it the next answer is only later.
func writeLessons(path string, f lessonFile) {
	b, err := json.Marshal(f)
	if err == nil && os.MkdirAll(filepath.Dir(path), 0o700) == nil {
		_ = cli.ReplaceFile(path, b)
	}
}

// program tells this program from an older or a newer one.
func program() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprint(info.Size(), " ", info.ModTime().UnixNano())
}
