package grammar

// Words is a technician's own vocabulary file, read and checked.
type Words struct{ rows []row }
