package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;

class AmendmentsTest {

    private static final Statement NOTE = new Statement.Note("two lines\nand a quote \"");
    private static final Statement ASIDE = new Statement.SetAside("900-rpm.1", "the door was open");
    private static final Statement SIGN_OFF =
            new Statement.SignOff("seen", List.of(new Statement.Accepted("SIGNER_UNKNOWN", "signature/signer.pem")));

    @TempDir
    Path folder;

    private Path record;

    @BeforeEach
    void seal() throws IOException {
        record = Nights.sealed(folder, "night", Nights.TECHNICIAN);
    }

    private Amendment add(Statement statement, Amendments.Attached... attached) throws IOException {
        return Amendments.add(record, statement, List.of(attached), "lead", Nights.SEALED, Nights.LEAD);
    }

    private List<Amendment> read() throws IOException {
        List<Finding> findings = new ArrayList<>();
        List<Amendment> amendments = Amendments.read(record, findings::add);
        assertEquals(List.of(), findings);
        return amendments;
    }

    @Test
    void everyStatementIsReadAsItWasWritten() throws IOException {
        List<Amendment> added = List.of(add(NOTE), add(ASIDE), add(SIGN_OFF), add(new Statement.Withdrawal(2, "no")));

        assertEquals(added, read());
        assertEquals(
                List.of(NOTE, ASIDE, SIGN_OFF, new Statement.Withdrawal(2, "no")),
                read().stream().map(Amendment::statement).toList());
        assertEquals("amendments/0003-sign-off.json", read().get(2).file());
        assertEquals(Nights.LEAD.signer(), read().get(0).signer());
    }

    @Test
    void attachmentsKeepTheirBytesUnderFlatNames() throws IOException {
        byte[] photo = {(byte) 0xff, (byte) 0xd8, 0};
        Amendment added = add(NOTE, new Amendments.Attached("Mein Foto.JPG", photo));

        Amendment.Attachment attachment = added.attachments().get(0);
        assertEquals("Mein Foto.JPG", attachment.name());
        assertEquals("amendments/0001-1-mein-foto.jpg", attachment.file());
        assertArrayEquals(photo, Files.readAllBytes(record.resolve(attachment.file())));
    }

    @ParameterizedTest
    @ValueSource(strings = {"notes.tmp", "Notes.TMP"})
    void anAttachmentCalledLikeAnUnfinishedFileIsKeptByLaterAmendments(String name) throws IOException {
        byte[] bytes = {1, 2, 3};
        Amendment added = add(NOTE, new Amendments.Attached(name, bytes));
        add(NOTE);

        assertEquals(2, read().size());
        Amendment.Attachment attachment = added.attachments().get(0);
        assertEquals(name, attachment.name());
        assertArrayEquals(bytes, Files.readAllBytes(record.resolve(attachment.file())));
        assertEquals(List.of(), Verified.of(record).findings());
    }

    @Test
    void anAttachmentWithALongNameIsNoStrangeFile() throws IOException {
        String name = "x".repeat(200) + ".jpg";
        Amendment added = add(NOTE, new Amendments.Attached(name, new byte[] {1}));

        assertEquals(name, added.attachments().get(0).name());
        assertEquals(List.of(), Verified.of(record).findings());
    }

    @Test
    void aWithdrawalTakesBackAndCanBeTakenBack() throws IOException {
        add(NOTE);
        add(ASIDE);
        add(new Statement.Withdrawal(2, "it was shut"));
        assertEquals(
                List.of(1),
                Amendments.standing(read()).stream().map(Amendment::number).toList());
        add(new Statement.Withdrawal(3, "it was open after all"));
        assertEquals(
                List.of(1, 2),
                Amendments.standing(read()).stream().map(Amendment::number).toList());
    }

    @Test
    void nothingSealedIsTouched() throws IOException {
        String before = Sha256.of(record.resolve(Manifest.TAG));
        add(ASIDE);
        List<String> findings = new ArrayList<>();
        Bag.check(record, finding -> findings.add(finding.code()));
        assertEquals(List.of(), findings);
        assertEquals(before, Sha256.of(record.resolve(Manifest.TAG)));
    }

    @Test
    void whatIsNotSealedIsNotAmended() throws IOException {
        Path open = Nights.unsealed(folder, "open", Nights.TECHNICIAN);
        RecordFault fault = assertThrows(
                RecordFault.class, () -> Amendments.add(open, NOTE, List.of(), "lead", Nights.SEALED, Nights.LEAD));
        assertEquals("signature/tagmanifest-sha256.txt.sig", fault.place());
    }

    @Test
    void behindABrokenAmendmentNoneIsAdded() throws IOException {
        add(NOTE);
        Path note = record.resolve("amendments/0001-note.json");
        Files.writeString(note, Files.readString(note).replace("lead", "boss"));
        RecordFault fault = assertThrows(RecordFault.class, () -> add(ASIDE));
        assertEquals("amendments/0001-note.json", fault.place());
    }

    @Test
    void whatDoesNotExistCannotBeWithdrawn() {
        RecordFault fault = assertThrows(RecordFault.class, () -> add(new Statement.Withdrawal(1, "why")));
        assertEquals("it withdraws 1, which did not exist", fault.found());
    }

    @Test
    void opensslAgreesOnAnAmendmentsSignature() throws Exception {
        Wants.program("openssl");
        add(NOTE);
        Files.writeString(folder.resolve("lead.pem"), Nights.LEAD.signer().pem());
        Tool.Answer answer = Tool.verifySignature(
                record, "../lead.pem", "amendments/0001-note.json", "amendments/0001-note.json.sig");
        assertEquals(0, answer.exit(), answer.text());
    }
}
