"""Key poses against stresses: pairing, tolerance, findings, comparison."""
