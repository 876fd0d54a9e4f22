package org.plateaubench.hostile;

/** What must hold of a night whose record lies on storage that fails, and whose program is killed and goes on. */
enum FolderInvariant {
    STORAGE_ENDS_RUN("a run does not go on for long without its record"),
    NOT_OPENED_NOT_SET("where no record could be opened, nothing was set on the bench"),
    GOES_ON_TO_A_SEAL("a night that was cut off goes on, and is sealed"),
    NOTHING_LOST("what a checkpoint stood for is still there afterwards, as it was"),
    SEALED_STAYS("no byte of a sealed record changes"),
    HONEST_AUDIT("the audit of an honest record finds nothing that fails it"),
    DOCTORED_AUDIT("the audit of a doctored record fails it"),
    FOLDER_RETRACED("the record on disk gives the same decisions again"),
    FOLDER_SAFE("the bench is safe after the end of every run"),
    FOLDER_THROWS("the program never fails by itself");

    private final String text;

    FolderInvariant(String text) {
        this.text = text;
    }

    /** {@return what must hold} */
    String text() {
        return text;
    }
}
