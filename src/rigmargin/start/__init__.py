"""A first rig file by questions and answers, which its owner then goes on editing."""
