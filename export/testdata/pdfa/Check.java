import java.io.FileInputStream;
import java.util.TreeSet;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/** Prints, for each file, whether it keeps the rules of a flavour of PDF/A, and which it breaks. */
public class Check {
    public static void main(String[] args) throws Exception {
        VeraGreenfieldFoundryProvider.initialise();
        PDFAFlavour flavour = PDFAFlavour.fromString(args[0]);
        for (int i = 1; i < args.length; i++) {
            try (PDFAParser parser = Foundries.defaultInstance().createParser(new FileInputStream(args[i]), flavour);
                    PDFAValidator validator = Foundries.defaultInstance().createValidator(flavour, false)) {
                ValidationResult result = validator.validate(parser);
                TreeSet<String> broken = new TreeSet<>();
                for (TestAssertion t : result.getTestAssertions()) {
                    if (t.getStatus() == TestAssertion.Status.FAILED) {
                        broken.add(t.getRuleId().getClause() + "-" + t.getRuleId().getTestNumber() + " " + t.getMessage());
                    }
                }
                System.out.println((result.isCompliant() ? "kept " : "broken ") + args[i] + " " + result.getTotalAssertions() + " " + broken);
            }
        }
    }
}
