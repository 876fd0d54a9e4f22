package org.plateaubench.record;

/** Every kind of finding about a record's form, bytes, signatures, ledger and amendments, with its message. */
public enum RecordCheck {
    /** The folder holds no record. */
    NOT_A_RECORD(Severity.FAILURE, false, "there is nothing to check", "name a record, or a folder of records"),
    /** The record cannot be read to its end. */
    UNREADABLE(
            Severity.FAILURE,
            false,
            "what cannot be read cannot be checked",
            "see to the disk and to who may read the files, then audit again"),
    /** A link, or something that is neither file nor folder. */
    LINK_REFUSED(
            Severity.FAILURE,
            false,
            "what it leads to can change without the record changing",
            "replace it by the file it stands for, from a copy of the record"),
    /** A name that has no place in a record. */
    NAME_REFUSED(
            Severity.FAILURE,
            false,
            "such a name can mean another file on another system",
            "find out who put it there; restore the record from a copy"),
    /** A fetch.txt. */
    FETCH_REFUSED(
            Severity.FAILURE,
            false,
            "a record is whole; nothing of it is fetched from elsewhere",
            "find out who put it there; restore the record from a copy"),
    /** The declaration bagit.txt is not as RFC 8493 wants it. */
    BAGIT_BROKEN(Severity.FAILURE, false, "other programs cannot read the bag", "restore the file from a copy"),
    /** The file bag-info.txt is not as RFC 8493 wants it, or contradicts the payload. */
    BAG_INFO_BROKEN(
            Severity.FAILURE, false, "it says what the record is and who sealed it", "restore the file from a copy"),
    /** A manifest that cannot be read. */
    MANIFEST_BROKEN(
            Severity.FAILURE, false, "without it no file of the record can be checked", "restore the file from a copy"),
    /** A file that must be there is not. */
    FILE_MISSING(Severity.FAILURE, false, "the record is not whole", "restore the file from a copy"),
    /** A file that no manifest lists. */
    FILE_NOT_LISTED(
            Severity.FAILURE,
            false,
            "it was added after sealing and nobody signed it",
            "find out who put it there, and take it out; remarks are added with 'note'"),
    /** A file whose bytes are not those that were sealed. */
    FILE_CHANGED(
            Severity.FAILURE,
            false,
            "its bytes are not those that were sealed",
            "do not use the record; restore the file from a copy"),
    /** The record was never sealed. */
    NOT_SEALED(
            Severity.FAILURE,
            false,
            "nobody has signed it as a whole",
            "wait for the end of a run that goes on; after a crash use 'resume'"),
    /** A folder in which a record was to be made. */
    OPENING_UNFINISHED(
            Severity.NOTE,
            false,
            "a run that was cut off before its record was there; nothing was set on the bench yet",
            "nothing; it can be taken away"),
    /** The record was sealed, says the ledger, and is not. */
    SEAL_REMOVED(
            Severity.FAILURE, false, "somebody took the seal away", "do not use the record; restore it from a copy"),
    /** The signature over the tag manifest does not hold. */
    SIGNATURE_WRONG(
            Severity.FAILURE,
            false,
            "the tag manifest or its signature is not what the signer left",
            "do not use the record; restore both files from a copy"),
    /** A public key that cannot be used. */
    KEY_BROKEN(
            Severity.FAILURE,
            false,
            "no signature can be checked with it",
            "do not use the record; restore the file from a copy"),
    /** The journal is not a chain of lines. */
    JOURNAL_BROKEN(
            Severity.FAILURE,
            false,
            "lines were changed, moved or taken out",
            "do not use the record; restore the file from a copy"),
    /** The samples are no rows in order. */
    SAMPLES_BROKEN(
            Severity.FAILURE,
            false,
            "rows were changed, moved or taken out",
            "do not use the record; restore the file from a copy"),
    /** A checkpoint of an unsealed record does not hold. */
    CHECKPOINT_BROKEN(
            Severity.FAILURE,
            false,
            "the checkpoints protect a record that is not sealed yet",
            "do not use the record"),
    /** Bytes of an unsealed record behind its last checkpoint. */
    TAIL_UNCOVERED(
            Severity.NOTE,
            false,
            "what came after the last checkpoint is not signed, and is not used when the run goes on",
            "nothing"),
    /** The signer is in no trust file. */
    SIGNER_UNKNOWN(
            Severity.FAILURE,
            true,
            "the bytes are unchanged since somebody sealed them, but nobody vouches for that key",
            "ask the signer for the public key on another way, compare the fingerprint, then 'key trust'"),
    /** The key was not valid at the time. */
    SIGNER_NOT_VALID(
            Severity.FAILURE,
            true,
            "the trust file limits when this key may sign",
            "ask the signer; correct the trust file if it is wrong"),
    /** The key was revoked. */
    SIGNER_REVOKED(
            Severity.FAILURE,
            true,
            "somebody else may hold this key, and a date in a record is only what its signer says",
            "give the head of a ledger that was kept before the key was lost, or repeat the night"),
    /** No ledger beside the record. */
    NO_LEDGER(
            Severity.NOTE,
            true,
            "whether records or amendments were taken away cannot be seen",
            "audit it in the folder where it was made"),
    /** A line of the ledger does not hold. */
    LEDGER_BROKEN(
            Severity.FAILURE,
            false,
            "the ledger shows which records and amendments there were",
            "restore it from a copy; a head kept elsewhere tells which copy is right"),
    /** The ledger's last line is unfinished. */
    LEDGER_UNFINISHED(
            Severity.WARNING,
            false,
            "a crash, or a run that begins or ends just now, leaves this",
            "audit again; the next run writes over it"),
    /** A line of the ledger is signed by an unknown key. */
    LEDGER_SIGNER_UNKNOWN(
            Severity.FAILURE,
            false,
            "nobody vouches for what this line says",
            "see whose key it is; 'key trust' if it is known"),
    /** The ledger does not know the record. */
    LEDGER_LACKS_RECORD(
            Severity.FAILURE,
            true,
            "it was made elsewhere and put here, or the ledger was cut",
            "ask where it was made; audit it beside its own ledger"),
    /** The ledger knows the record, but not its sealing. */
    LEDGER_LACKS_SEALING(
            Severity.WARNING,
            true,
            "the sealing was interrupted before its last line, or the ledger was cut",
            "repeat the sealing with 'resume'"),
    /** The ledger has other hashes than the record. */
    LEDGER_DIFFERS(
            Severity.FAILURE,
            false,
            "it is not the record that the ledger was told of",
            "do not use the record; restore it from a copy"),
    /** A record of the ledger is not in its folder. */
    RECORD_MISSING(
            Severity.FAILURE, false, "a night that does not suit can be taken away", "put it back, or say where it is"),
    /** The head given is not in the ledger. */
    HEAD_NOT_FOUND(
            Severity.FAILURE,
            false,
            "the ledger was cut or written anew since that head was kept",
            "restore the ledger from a copy that has this head"),
    /** No head was given. */
    NOT_ANCHORED(
            Severity.NOTE,
            false,
            "only a head kept elsewhere shows whether the end of the ledger was cut off",
            "keep the head that is printed, and give it with --head next time"),
    /** An amendment that the ledger knows is gone. */
    AMENDMENT_MISSING(
            Severity.FAILURE,
            false,
            "a remark, a pass set aside or a withdrawal was taken away",
            "restore it from a copy"),
    /** The ledger does not know an amendment. */
    LEDGER_LACKS_AMENDMENT(
            Severity.WARNING,
            true,
            "its writing was interrupted before its last line, or the ledger was cut",
            "amend the record once more, for example with 'note'; that enters both"),
    /** An amendment does not hold. */
    AMENDMENT_BROKEN(
            Severity.FAILURE,
            false,
            "it is not what its signer left, or belongs to another record",
            "restore it from a copy, or take it out"),
    /** An amendment, or a part of one, without its signature. */
    AMENDMENT_UNFINISHED(
            Severity.FAILURE,
            false,
            "its writing was interrupted, or it was put there; it does not count",
            "write the amendment again, which replaces it, or take it out"),
    /** The bench is simulated. */
    SIMULATED(Severity.NOTE, false, "nothing was measured", "never pass it for a measurement"),
    /** Nobody signed the record off. */
    NOT_SIGNED_OFF(Severity.NOTE, false, "nobody has said that it was looked at", "look at it, then 'sign-off'"),
    /** Signed off with the key that sealed it. */
    SIGNED_OFF_BY_SEALER(Severity.WARNING, true, "nobody else has looked at it", "let somebody else sign it off"),
    /** The folder is not called as the record. */
    RENAMED(Severity.WARNING, false, "two copies can be taken for two nights", "give the folder its name back"),
    /** Two folders hold the same record. */
    DUPLICATE(Severity.WARNING, false, "one night can be counted twice", "take one of the copies away");

    private final Severity severity;
    private final boolean acceptable;
    private final String why;
    private final String action;

    RecordCheck(Severity severity, boolean acceptable, String why, String action) {
        this.severity = severity;
        this.acceptable = acceptable;
        this.why = why;
        this.action = action;
    }

    /**
     * A finding of this kind.
     *
     * @param place file, relative to the record, and line where there is one; empty: the record as a whole
     * @param found what was found
     * @return the finding
     */
    public Finding at(String place, String found) {
        return new Finding(severity, name(), place, found, why, action, acceptable);
    }
}
