"""Operations of a chain works, one file each; published models beside them."""
